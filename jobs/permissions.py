"""Who may call what: one table over every URL and method of the site, as data.

Under a URL's name stand its methods, and under each the roles let in. What a role sees behind the door (a foreman his
jobs and crews, a worker his own lines) is the selectors' business; this table is the door. A URL or method without a
row is closed, and a guard test fails for it.
"""

from __future__ import annotations

OWNER, OFFICE, FOREMAN, WORKER = "owner", "office", "foreman", "worker"
ROLES = (OWNER, OFFICE, FOREMAN, WORKER)
EVERYONE = frozenset(ROLES)
FIELD = frozenset({OWNER, OFFICE, FOREMAN})
DESK = frozenset({OWNER, OFFICE})
# Signed in, with a membership or without one; then whoever asks.
OUTSIDER, NOBODY = "outsider", "nobody"
SIGNED_IN = EVERYONE | {OUTSIDER}
PUBLIC = SIGNED_IN | {NOBODY}


TABLE: dict[str, dict[str, frozenset[str]]] = {
    # The API of the field: jobs/api
    "api-entries": {"GET": EVERYONE, "POST": FIELD},
    "api-entry-batch": {"POST": FIELD},
    "api-entry-photos": {"GET": EVERYONE, "POST": FIELD},
    "api-photo": {"GET": EVERYONE},
    "api-hours": {"GET": EVERYONE, "POST": FIELD},
    "api-inspections": {"POST": FIELD},
    "api-words": {"GET": EVERYONE, "POST": EVERYONE},
    "api-sync": {"POST": FIELD},
    "api-changes": {"GET": FIELD},
    "api-jobs": {"GET": FIELD},
    "api-job-walls": {"GET": FIELD},
    "api-job-work-units": {"GET": FIELD},
    "api-people": {"GET": FIELD},
    "api-crews": {"GET": FIELD},
    "api-devices": {"GET": EVERYONE},
    "api-device-rename": {"POST": EVERYONE},
    "api-device-revoke": {"POST": EVERYONE},
    # The API of pay: payroll/api
    "api-statements": {"GET": EVERYONE},
    "api-statement": {"GET": EVERYONE},
    "api-weeks": {"GET": DESK},
    "api-week-preview": {"GET": DESK},
    "api-week-close": {"POST": DESK},
    # About the API itself
    "api-problem": {"GET": PUBLIC},
    "api-schema": {"GET": PUBLIC},
    "api-guide": {"GET": PUBLIC},
    "api-nothing": {"GET": PUBLIC},
    # The pages of the field: jobs/pages
    "sign-in": {"GET": PUBLIC, "POST": PUBLIC},
    "sign-out": {"POST": PUBLIC},
    "language": {"POST": PUBLIC},
    "accent": {"GET": PUBLIC},
    "icon": {"GET": PUBLIC},
    "service-worker": {"GET": PUBLIC},
    "choose-organisation": {"GET": SIGNED_IN, "POST": SIGNED_IN},
    # Accounts, members and devices: jobs/pages
    "sign-in-code": {"GET": PUBLIC, "POST": PUBLIC},
    "second-factor": {"GET": EVERYONE, "POST": EVERYONE},
    "second-factor-rule": {"POST": frozenset({OWNER})},
    "password-forgotten": {"GET": PUBLIC, "POST": PUBLIC},
    "password-mailed": {"GET": PUBLIC},
    "password-new": {"GET": PUBLIC, "POST": PUBLIC},
    "invitation-link": {"GET": PUBLIC},
    "invitation": {"GET": PUBLIC, "POST": PUBLIC},
    "account": {"GET": EVERYONE},
    "password-change": {"GET": EVERYONE, "POST": EVERYONE},
    "sessions-end": {"POST": EVERYONE},
    "devices": {"GET": EVERYONE, "POST": EVERYONE},
    "device": {"GET": EVERYONE, "POST": EVERYONE},
    "device-revoke": {"POST": EVERYONE},
    "members": {"GET": DESK},
    "invite": {"GET": DESK, "POST": DESK},
    "member": {"GET": DESK, "POST": DESK},
    "member-end": {"GET": DESK, "POST": DESK},
    "invitation-send": {"POST": DESK},
    "invitation-withdraw": {"POST": DESK},
    "home": {"GET": EVERYONE},
    "job": {"GET": FIELD},
    "plan": {"GET": DESK, "POST": DESK},
    "operations": {"GET": DESK, "POST": DESK},
    "wall": {"GET": EVERYONE},
    "wall-drawing": {"GET": EVERYONE},
    "inspect": {"GET": FIELD, "POST": FIELD},
    "log-wall": {"GET": FIELD},
    "log-unit": {"GET": FIELD},
    "log-entry": {"GET": FIELD, "POST": FIELD},
    "entry": {"GET": EVERYONE, "POST": FIELD},
    "photo": {"GET": EVERYONE},
    "correct-entry": {"GET": FIELD, "POST": FIELD},
    "hours": {"GET": FIELD, "POST": FIELD},
    "correct-hours": {"GET": FIELD, "POST": FIELD},
    "day": {"GET": FIELD},
    "outbox": {"GET": FIELD},
    "my-work": {"GET": EVERYONE, "POST": EVERYONE},
    "disputes": {"GET": DESK, "POST": DESK},
    # The pages of pay: payroll/pages
    "weeks": {"GET": DESK, "POST": DESK},
    "week": {"GET": DESK},
    "week-close": {"GET": DESK, "POST": DESK},
    "statements": {"GET": EVERYONE},
    "statement": {"GET": EVERYONE},
    "statement-pdf": {"GET": EVERYONE},
    "statement-csv": {"GET": EVERYONE},
    "statement-check": {"GET": PUBLIC},
    "week-csv": {"GET": DESK},
    "week-papers": {"GET": DESK, "POST": DESK},
    "week-papers-file": {"GET": DESK},
    "labour": {"GET": DESK},
    "reports": {"GET": DESK},
    "report": {"GET": DESK},
    "report-pdf": {"GET": DESK},
    "report-chart": {"GET": DESK},
    "agreements": {"GET": DESK, "POST": DESK},
    "local-minimums": {"GET": DESK, "POST": DESK},
    "missed-breaks": {"GET": DESK, "POST": DESK},
    "pay-periods": {"GET": DESK, "POST": DESK},
    "final-pay": {"GET": DESK, "POST": DESK},
    "prices": {"GET": DESK},
    "height-bands": {"GET": DESK, "POST": DESK},
    "price-set": {"GET": DESK, "POST": DESK},
    "price-list": {"GET": DESK, "POST": DESK},
    "price-list-csv": {"GET": DESK},
    "what-if": {"GET": DESK, "POST": DESK},
    "bid": {"GET": DESK, "POST": DESK},
    "parameters": {"GET": DESK},
    "payroll-file": {"GET": DESK},
    "person-record": {"GET": DESK, "POST": DESK},
    "prevailing": {"GET": DESK},
    "prevailing-set": {"GET": DESK, "POST": DESK},
    "certified": {"GET": DESK},
    "certified-pdf": {"GET": DESK},
    "certified-csv": {"GET": DESK},
    "why-rate": {"GET": FIELD},
}


def roles_allowed(url: str, method: str) -> frozenset[str]:
    """Roles let in at a URL name with a method; HEAD is a GET; nobody where there is no row."""
    return TABLE.get(url, {}).get("GET" if method == "HEAD" else method, frozenset())


def allowed(url: str, method: str, role: str) -> bool:
    """Whether `role` may call the URL with the method; "outsider" and "nobody" are roles here."""
    return role in roles_allowed(url, method)
