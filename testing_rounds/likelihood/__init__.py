"""How a reading weighs its evidence: chances of ticks, habits of testers, shapes of faults. Needs numpy and scipy."""
