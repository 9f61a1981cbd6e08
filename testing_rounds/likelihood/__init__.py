"""How a reading weighs its evidence: chances of ticks, habits of testers, shapes of faults. Needs numpy and scipy."""

import os

# The matrices are small: threads that wait for each other cost more than they bring. numpy looks when it is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
