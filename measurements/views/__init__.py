"""Pages of size charts."""
