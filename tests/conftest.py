"""How every test meets PostgreSQL, Redis and Celery: the real ones, and never as a superuser.

The test database is made and migrated through the `owner` alias; tests run through `default`, which is the
application's role on the same database, so that row security, triggers and grants bind a test as they bind the site.

- `db` (or `@pytest.mark.django_db`): the test runs in a transaction that is rolled back.
- `committed_db`: the test really commits, and nothing is cleaned up after it, because the records refuse to be
  deleted. Such a test makes an organisation of its own and looks at nothing else.
- `worker`: a Celery worker in a process of its own, on real Redis; use it with `committed_db`.
- `live_site`: the site in a process of its own, for a browser; use it with `committed_db`.

pytest-django's `transactional_db` and `live_server` empty tables after each test, which the database refuses.
"""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from django.conf import settings
from django.db import connections
from django.test.utils import setup_databases, teardown_databases
from hypothesis import settings as hypothesis_settings
from pytest_django import DjangoDbBlocker

from tests.support import needs
from tests.support.processes import keys_forget, live_site, worker

__all__ = ["live_site", "worker"]

hypothesis_settings.register_profile("ci", derandomize=True, deadline=None, print_blob=True)
hypothesis_settings.register_profile("dev", deadline=None)
hypothesis_settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "dev"))


def pytest_configure(config: pytest.Config) -> None:
    """Give each run, and each xdist process in it, keys of its own in Redis; serve static files from source."""
    run = os.environ.get("PYTEST_XDIST_TESTRUNUID", str(os.getpid()))[:12]
    process = os.environ.get("PYTEST_XDIST_WORKER", "alone")
    prefix = f"piecewall-test-{run}-{process}:"
    settings.REDIS_PREFIX = prefix
    settings.CELERY_BROKER_TRANSPORT_OPTIONS = {**settings.CELERY_BROKER_TRANSPORT_OPTIONS, "global_keyprefix": prefix}
    settings.CELERY_RESULT_BACKEND_TRANSPORT_OPTIONS = {"global_keyprefix": prefix}
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    settings.WHITENOISE_USE_FINDERS = True


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out the tests whose open data or browser is not on this machine; with CI=true they fail instead."""
    for need in () if needs.on_ci() else needs.missing():
        without = [item for item in items if item.get_closest_marker(need.marker)]
        config.hook.pytest_deselected(items=without)
        items[:] = [item for item in items if item not in without]


def pytest_runtest_setup(item: pytest.Item) -> None:
    for need in needs.missing() if needs.on_ci() else ():
        if item.get_closest_marker(need.marker):
            pytest.fail(need.why, pytrace=False)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    for need in () if needs.on_ci() else needs.missing():
        terminalreporter.write_line(f"{need.marker} tests were not run: {need.why}")


@pytest.fixture(scope="session")
def django_db_setup(
    request: pytest.FixtureRequest,
    django_test_environment: None,
    django_db_blocker: DjangoDbBlocker,
    django_db_keepdb: bool,
    django_db_createdb: bool,
    django_db_modify_db_settings: None,
) -> Iterator[None]:
    """Make the database as its owner. `default` follows by name (TEST.MIRROR) and keeps the application's role."""
    verbosity = request.config.option.verbose
    with django_db_blocker.unblock():
        made = setup_databases(
            verbosity=verbosity,
            interactive=False,
            aliases={"owner"},
            serialized_aliases=set(),
            keepdb=django_db_keepdb and not django_db_createdb,
        )
    yield
    keys_forget()
    with django_db_blocker.unblock():
        connections.close_all()
        if not django_db_keepdb:
            teardown_databases(made, verbosity=verbosity)


@pytest.fixture(autouse=True)
def tries_forgotten(request: pytest.FixtureRequest) -> None:
    """Tests come from one network and start with no tries counted; those without a database have no need of Redis."""
    if {"db", "committed_db"} & set(request.fixturenames):
        keys_forget("tries:")


@pytest.fixture
def committed_db(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """Let the test commit for real, from any thread or process. What it wrote stays: it makes its own organisation."""
    with django_db_blocker.unblock():
        connections.close_all()
        yield
        connections.close_all()
