"""One machine of one's own: the services, checks and demo that `make` starts, and stops again.

Everything it keeps lies in `.local/`, one folder for each use (demo, test, bench), so that they never meet.
"""
