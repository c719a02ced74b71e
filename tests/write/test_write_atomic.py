"""A file is there whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from cutopt.write.atomic import write_bytes, write_text


def test_a_file_is_written_as_it_is_and_nothing_stays_beside_it(tmp_path: Path):
    write_bytes(tmp_path / "plan.json", b"{}\r\n")
    assert (tmp_path / "plan.json").read_bytes() == b"{}\r\n"
    write_text(tmp_path / "plan.json", "23½\n")
    assert (tmp_path / "plan.json").read_bytes() == "23½\n".encode()
    assert [path.name for path in tmp_path.iterdir()] == ["plan.json"]


@pytest.mark.parametrize(("place", "moment"), [(os, "fsync"), (Path, "replace")])
def test_an_interruption_leaves_the_old_file_and_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, place: object, moment: str
):
    write_text(tmp_path / "plan.json", "old")

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(place, moment, interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_text(tmp_path / "plan.json", "new")
    assert (tmp_path / "plan.json").read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["plan.json"]


def test_a_new_file_is_as_open_to_others_as_any(tmp_path: Path):
    (tmp_path / "plain").write_text("")
    write_text(tmp_path / "plan.json", "")
    assert (tmp_path / "plan.json").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_a_missing_folder_is_told(tmp_path: Path):
    with pytest.raises(OSError, match="No such file"):
        write_text(tmp_path / "none" / "plan.json", "")
