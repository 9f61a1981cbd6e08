"""What the programs in bin/ share. Standard library only: it runs before anything is installed."""
