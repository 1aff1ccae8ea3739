"""A loopback server, a database with ana and mara on the list, and the service between them."""

import pytest

from tests.doors.nursery import Nursery
from tests.doors.running import Serving, set_up
from tests.loopback.server import Loopback

ANA, MARA, EVE = 11, 12, 66


@pytest.fixture(scope="session")
def nursery():
    with Nursery() as running:
        yield running


@pytest.fixture
def server():
    with Loopback() as running:
        yield running


@pytest.fixture
def path(tmp_path):
    set_up(tmp_path / "team.db", {"ana": ANA, "mara": MARA})
    return tmp_path / "team.db"


@pytest.fixture
def ana(server):
    return server.person(ANA, "Ana")


@pytest.fixture
def serving(nursery, server, path, tmp_path):
    running = Serving(nursery, server, path, tmp_path / "log")
    yield running
    if running.is_running():
        running.kill()
    print(running.log()[-6000:])
