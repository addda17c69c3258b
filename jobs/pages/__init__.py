"""Pages: rendered here, whole without script. A page parses, calls one service or selector, and answers.

Scripts serve one end alone: that logging works without signal (see `jobs.pages.offline`).
"""
