"""Record folders are a learner's alone, and nothing planted in their place is taken for one."""

import os
import stat

import pytest

from labkit.classroom import folders as made_folders
from labkit.classroom.folders import Folders
from labkit.text.messages import CircuitError


@pytest.fixture
def folders(tmp_path):
    made = Folders(tmp_path / "class", own_accounts=False)
    made.make()
    return made


class Spawner:
    def __init__(self, name):
        self.user = type("User", (), {"name": name})
        self.environment = {"KEPT": "1"}


def test_each_server_is_told_a_record_folder_of_its_own(folders):
    for name in ("ana", "bo", "ana"):
        spawner = Spawner(name)
        folders.tell_records(spawner)
        where = folders.records / name
        assert spawner.environment == {"KEPT": "1", "LABKIT_RECORDS": str(where)}
        assert stat.S_IMODE(where.stat().st_mode) == 0o700


@pytest.mark.parametrize("what", ["link", "file", "open to others"])
def test_what_was_planted_in_a_record_folders_place_is_refused(folders, tmp_path, what):
    place = folders.records / "ana"
    if what == "link":
        place.symlink_to(tmp_path)
    elif what == "file":
        place.write_text("")
    else:
        place.mkdir()
        place.chmod(0o755)
    with pytest.raises(PermissionError, match="is not ana's own folder"):
        folders.records_of("ana")


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can give a folder to somebody")
def test_with_accounts_a_record_folder_belongs_to_its_learner(tmp_path):
    made = Folders(tmp_path / "class", own_accounts=True)
    made.make()
    given = made.records_of("nobody")
    assert given.stat().st_uid != 0
    assert stat.S_IMODE(given.stat().st_mode) == 0o700
    assert stat.S_IMODE(made.records.stat().st_mode) == 0o711
    assert stat.S_IMODE(made.hub.stat().st_mode) == 0o700
    assert made.records_of("nobody") == given
    os.chown(given, 0, 0)
    with pytest.raises(PermissionError, match="is not nobody's own folder"):
        made.records_of("nobody")


def test_a_class_is_not_put_where_something_else_stands(tmp_path):
    (tmp_path / "class").write_text("an essay")
    with pytest.raises(CircuitError, match="name another folder for the class"):
        Folders(tmp_path / "class", own_accounts=False).make()


def test_a_link_is_no_folder_for_secrets(tmp_path):
    (tmp_path / "class").mkdir()
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "class" / "hub").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(CircuitError, match="is not a folder of your own"):
        Folders(tmp_path / "class", own_accounts=False).make()


def test_the_password_stays_the_same_from_one_day_to_the_next(folders):
    first = folders.password
    assert len(first) >= 10
    assert folders.password == first
    assert first not in made_folders.__file__
