"""The pages in a real Chromium, against the site in a process of its own."""
