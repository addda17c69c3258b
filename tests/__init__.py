import os

# As `manage.py` does, before anything loads numpy.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
