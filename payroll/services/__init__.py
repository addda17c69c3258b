"""Changing pay: rates are set, weeks opened and closed, reports made. Each checks, writes and audits in one transaction."""
