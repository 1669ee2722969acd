"""Lets the tests of this folder import `fake_office`, and gives them the pages of an invented shop."""

import sys
from pathlib import Path

import pytest

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parent.parent / "records")]


@pytest.fixture
def office():
    from fake_rooms import FakeRooms

    return FakeRooms()


@pytest.fixture
def client(office):
    from fake_office import client_of

    return client_of(office)


@pytest.fixture
def shop(tmp_path):
    from door_shop import make_shop

    return make_shop(tmp_path)


@pytest.fixture
def door(shop):
    from pinseal.app.door import ShopDoor

    return ShopDoor(*shop)


@pytest.fixture
def uids():
    from door_shop import Uids

    return Uids()
