"""A file is written whole or not at all, and what it was stays what it was until then."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from levigate.errors import FileError
from levigate.shelf.saving import save


def test_text_and_bytes(tmp_path: Path) -> None:
    path = tmp_path / "f.toml"
    save(path, "Crème\r\n")
    assert path.read_bytes() == "Crème\r\n".encode()
    save(path, b"\x00\xff")
    assert path.read_bytes() == b"\x00\xff"
    assert [*tmp_path.iterdir()] == [path]


def test_a_new_file_has_the_mode_of_any_and_an_old_one_keeps_its_own(tmp_path: Path) -> None:
    path, other = tmp_path / "f.toml", tmp_path / "other"
    other.touch()
    save(path, "x")
    assert path.stat().st_mode == other.stat().st_mode
    path.chmod(0o640)
    save(path, "y")
    assert path.stat().st_mode & 0o777 == 0o640


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    folder = tmp_path / "folder"
    folder.mkdir()
    (folder / "real.toml").write_text("old")
    link = tmp_path / "link.toml"
    link.symlink_to(folder / "real.toml")
    save(link, "new")
    assert link.is_symlink() and (folder / "real.toml").read_text() == "new"
    assert [*folder.iterdir()] == [folder / "real.toml"]


@pytest.mark.parametrize("name", ["none/f.toml", "folder", "x" * 300])
def test_what_cannot_be_written_is_told_and_leaves_nothing(name: str, tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "inside").write_text("kept")
    with pytest.raises(FileError, match=r"cannot be written: [a-z ]+\.$"):
        save(tmp_path / name, "x")
    assert [*tmp_path.iterdir()] == [tmp_path / "folder"]
    assert (tmp_path / "folder" / "inside").read_text() == "kept"


def test_an_interruption_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "f.toml"
    path.write_text("old")

    def interrupt(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", interrupt)
    with pytest.raises(KeyboardInterrupt):
        save(path, "new")
    assert path.read_text() == "old" and [*tmp_path.iterdir()] == [path]
