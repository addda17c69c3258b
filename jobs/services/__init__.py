"""Services: each checks, writes and audits in one transaction. Named `<noun>_<verb>`, keyword-only."""
