"""Files are written whole or not at all: interrupted, full disk, several at once, killed."""

import os
import stat
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest
import storing
from click.testing import CliRunner

from seaflow.base.problems import SeaflowError
from seaflow.cli.common import sheet_beside, with_sheets
from seaflow.cli.files import LOCK_FILE, write_new, write_whole
from seaflow.cli.main import main
from seaflow.cli.stored import file_beside, rows_in, store

GOOD = Path(__file__).parents[1] / "messages" / "good.toml"
KETCH = Path(__file__).parents[2] / "cases" / "ketch-one-unit.toml"
ROW = {"date": "2026-05-31", "loop": "intake", "sea": "27 degC"}


def full_disk(*_):
    raise OSError(28, "No space left on device")


def interrupt(*_):
    raise KeyboardInterrupt


def code_of(refused):
    (problem,) = refused.value.problems
    return problem.code


@pytest.mark.parametrize("stop", [full_disk, interrupt])
def test_what_cannot_be_written_leaves_nothing_and_may_be_tried_again(tmp_path, monkeypatch, stop):
    file = tmp_path / "a.txt"
    with monkeypatch.context() as patch, pytest.raises((SeaflowError, KeyboardInterrupt)):
        patch.setattr(os, "fsync", stop)
        write_new((str(file), "whole"))
    assert list(tmp_path.iterdir()) == []
    write_new((str(file), "whole"))
    assert file.read_text(encoding="utf-8") == "whole"


@pytest.mark.parametrize("stop", [full_disk, interrupt])
def test_what_cannot_be_replaced_stays_as_it_was(tmp_path, monkeypatch, stop):
    file = tmp_path / "a.txt"
    file.write_text("old", encoding="utf-8")
    with monkeypatch.context() as patch, pytest.raises((SeaflowError, KeyboardInterrupt)):
        patch.setattr(os, "fsync", stop)
        write_whole(str(file), "new")
    assert [path.name for path in tmp_path.iterdir()] == ["a.txt"]
    assert file.read_text(encoding="utf-8") == "old"


def test_of_several_files_all_are_written_or_none(tmp_path, monkeypatch):
    one, two = tmp_path / "one.txt", tmp_path / "two.txt"
    link = os.link

    def taken_meanwhile(part, file):
        if file == str(two):
            two.write_text("another's", encoding="utf-8")
        link(part, file)

    with monkeypatch.context() as patch, pytest.raises(SeaflowError) as refused:
        patch.setattr(os, "link", taken_meanwhile)
        write_new((str(one), "1"), (str(two), "2"))
    assert code_of(refused) == "W03"
    assert [path.name for path in tmp_path.iterdir()] == ["two.txt"]
    assert two.read_text(encoding="utf-8") == "another's"


def test_a_file_system_without_links_is_written_to_all_the_same(tmp_path, monkeypatch):
    def no_links(*_):
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    write_new((str(tmp_path / "a.txt"), "whole"))
    assert [path.read_text(encoding="utf-8") for path in tmp_path.iterdir()] == ["whole"]


def test_one_name_for_two_files_is_refused_however_it_is_written(tmp_path):
    (tmp_path / "inner").mkdir()
    os.symlink(tmp_path / "inner", tmp_path / "same")
    for other in ("inner/a.txt", "same/a.txt", "inner/../inner/a.txt"):
        with pytest.raises(SeaflowError) as refused:
            write_new((f"{tmp_path}/inner/a.txt", "1"), (f"{tmp_path}/{other}", "2"))
        assert code_of(refused) == "W05"
    assert list((tmp_path / "inner").iterdir()) == []


def test_a_new_file_may_be_read_by_whom_the_mask_says(tmp_path):
    old = os.umask(0o027)
    try:
        write_new((str(tmp_path / "a.txt"), "1"))
    finally:
        os.umask(old)
    assert stat.S_IMODE((tmp_path / "a.txt").stat().st_mode) == 0o640


def test_a_link_is_followed_and_the_mode_kept(tmp_path):
    real, link = tmp_path / "real.toml", tmp_path / "boat.readings.toml"
    os.symlink(real, link)
    store(str(link), ROW)  # to where nothing is yet
    real.chmod(0o600)
    store(str(link), {**ROW, "date": "2026-06-30"})
    assert link.is_symlink()
    assert stat.S_IMODE(real.stat().st_mode) == 0o600
    assert [row["date"] for row in rows_in(str(real))] == ["2026-05-31", "2026-06-30"]


def test_readings_are_kept_beside_the_boat_whatever_link_leads_to_her(tmp_path):
    (tmp_path / "boats").mkdir()
    real, link = tmp_path / "boats" / "ketch.toml", tmp_path / "mine.toml"
    real.write_text(KETCH.read_text(encoding="utf-8"), encoding="utf-8")
    link.symlink_to(real)
    assert file_beside(str(link)) == file_beside(os.path.realpath(real))
    astray = tmp_path / "mine.readings.toml"
    store(str(astray), ROW)
    with pytest.raises(SeaflowError) as refused:
        file_beside(str(link))
    assert str(real.with_suffix("")) in refused.value.problems[0].why
    astray.rename(file_beside(str(real)))
    astray.symlink_to(file_beside(str(real)))  # both ways lead to the same rows
    assert rows_in(file_beside(str(link))) == [ROW]


def test_a_sheet_counts_beside_the_boat_and_beside_a_link_to_her_once_each(tmp_path):
    (tmp_path / "boats").mkdir()
    real, link = tmp_path / "boats" / "ketch.toml", tmp_path / "mine.toml"
    link.symlink_to(real)
    real.touch()
    beside = [tmp_path / "mine-pump.toml", Path(os.path.realpath(real)).parent / "ketch-pump.toml"]
    beside[1].touch()
    assert with_sheets((), (str(link),)) == (str(beside[1]),)
    beside[0].touch()
    assert with_sheets((), (str(link),)) == tuple(map(str, beside))
    beside[0].unlink()
    beside[0].symlink_to(beside[1])
    assert with_sheets((), (str(link),)) == (str(beside[0]),)


def test_a_link_to_nowhere_is_told_as_the_link_that_it_is(tmp_path):
    gone, link = tmp_path / "gone.toml", tmp_path / "boat.readings.toml"
    link.symlink_to(gone)
    with pytest.raises(SeaflowError) as refused:
        rows_in(str(link))
    assert code_of(refused) == "F01"
    assert str(gone) in refused.value.problems[0].what


@pytest.mark.parametrize(("made", "code"), [(os.mkdir, "F02"), (os.mkfifo, "F15")])
def test_what_is_called_like_a_sheet_and_is_no_file_is_told(tmp_path, made, code):
    boat = tmp_path / "boat.toml"
    boat.write_text(KETCH.read_text(encoding="utf-8"), encoding="utf-8")
    made(sheet_beside(str(boat)))
    done = CliRunner().invoke(main, ["check", str(boat)])
    assert done.exit_code == 2 and f"{code}  {sheet_beside(str(boat))}" in done.output


@pytest.mark.parametrize("words", [["new", "-"], ["survey", str(KETCH), "--checklist", "-"]])
def test_no_file_is_called_a_dash(tmp_path, monkeypatch, words):
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(main, words)
    assert done.exit_code == 2 and list(tmp_path.iterdir()) == []


def test_a_full_disk_does_not_say_that_nothing_was_calculated(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "fsync", full_disk)
    words = ["survey", str(KETCH), "--checklist", str(tmp_path / "todo.toml")]
    done = CliRunner().invoke(main, words)
    assert done.exit_code == 2 and done.stderr.startswith("W03")
    assert "Nothing was calculated" not in done.stderr


def test_what_stands_in_a_file_of_readings_stays(tmp_path):
    file = tmp_path / "boat.readings.toml"
    text = '# by hand\r\n[[reading]]\r\ndate = 2026-05-31\r\nsea = "26 degC"  # at the bow\r\n'
    file.write_bytes(text.encode("utf-8"))
    store(str(file), ROW)
    assert file.read_bytes().startswith(text.rstrip().encode("utf-8"))
    assert len(rows_in(str(file))) == 2


@pytest.mark.parametrize(
    "text",
    [
        'reading = [{ sea = "26 degC" }]\n',
        '[[reading]]\nsea = "26 degC"\n[reading.more]\nx = "1"\n',
        '[[reading]]\nsea = "26 degC"\ntried = """\n',
        '[[reading]]\ndate = "2026-05-31"\nloop = "intake"\nsea = "27 degC"\n',
    ],
    ids=["inline", "table within", "broken", "the same row"],
)
def test_a_file_that_no_row_can_be_added_to_is_left_as_it_is(tmp_path, text):
    file = tmp_path / "boat.readings.toml"
    file.write_text(text, encoding="utf-8")
    if "more" in text:  # a row can follow that
        store(str(file), ROW)
        assert len(rows_in(str(file))) == 2
        return
    with pytest.raises(SeaflowError):
        store(str(file), ROW)
    assert file.read_text(encoding="utf-8") == text


def test_several_at_once_lose_nothing(tmp_path):
    file = tmp_path / "boat.readings.toml"
    processes = [storing.storing(file, f"p{number}", 4) for number in range(4)]
    told = [line for process in processes for line in process.communicate()[0].split()]
    assert len(told) == 16
    assert sorted(row["date"] for row in rows_in(str(file))) == sorted(told)


@pytest.mark.parametrize("locks", ["none", "of files", "of files, taken"])
def test_where_no_folder_can_be_locked_it_is_stored_all_the_same(tmp_path, monkeypatch, locks):
    """As on Windows, played by a module that only tells what it was asked for."""
    asked = []

    def locking(handle, mode, size):
        asked.append((os.fstat(handle).st_ino, mode, size))
        if locks == "of files, taken":
            raise OSError(36, "Resource deadlock avoided")

    stand_in = None if locks == "none" else SimpleNamespace(locking=locking, LK_LOCK=1)
    monkeypatch.setitem(sys.modules, "fcntl", None)
    monkeypatch.setitem(sys.modules, "msvcrt", stand_in)
    file = tmp_path / "boat.readings.toml"
    for number in range(2):
        store(str(file), {**ROW, "date": f"2026-05-3{number}"})
    assert len(rows_in(str(file))) == 2
    assert len(asked) == (0 if locks == "none" else 2)
    for inode, _, size in asked:
        assert (inode, size) == ((tmp_path / LOCK_FILE).stat().st_ino, 1)


def test_killed_while_storing_nothing_is_lost(tmp_path):
    words = [sys.executable, storing.__file__, str(tmp_path), "20", "1"]  # 200 by hand
    done = subprocess.run(words, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert "killed 20 times" in done.stdout


def test_what_a_killed_program_left_is_cleared_by_the_next_and_nothing_else_is(tmp_path):
    """Only a file of our own name, and only one that no program can be at work on any more."""
    left, fresh = tmp_path / ".seaflow-0123456789ab.part", tmp_path / ".seaflow-ba9876543210.part"
    names = (".seaflow-0123456789ab.part.txt", ".seaflow-mine.part", ".seaflow.lock", "a.part")
    for path in (left, fresh, *(tmp_path / name for name in names)):
        path.write_text("old", encoding="utf-8")
        os.utime(path, (0.0, 0.0)) if path != fresh else None
    link, folder = tmp_path / ".seaflow-00000000000a.part", tmp_path / ".seaflow-00000000000b.part"
    os.symlink(left, link)
    os.utime(link, (0.0, 0.0), follow_symlinks=False)
    folder.mkdir()
    write_new((str(tmp_path / "new.txt"), "whole"))
    found = {path.name for path in tmp_path.iterdir()}
    assert found == {"new.txt", fresh.name, link.name, folder.name, *names}
    late = os.stat(fresh).st_mtime - 590.0
    os.utime(fresh, (late, late))
    write_whole(str(tmp_path / "new.txt"), "anew")
    assert fresh.exists()
    os.utime(fresh, (late - 20.0, late - 20.0))
    write_whole(str(tmp_path / "new.txt"), "anew")
    assert not fresh.exists()


def test_what_cannot_be_cleared_stops_no_writing(tmp_path, monkeypatch):
    left = tmp_path / ".seaflow-0123456789ab.part"
    left.write_text("old", encoding="utf-8")
    os.utime(left, (0.0, 0.0))

    unlink = os.unlink

    def not_that(path, **words):
        if os.fspath(path) == str(left):
            raise PermissionError(1, "Operation not permitted")
        unlink(path, **words)

    monkeypatch.setattr(os, "unlink", not_that)
    write_whole(str(tmp_path / "new.txt"), "whole")
    assert (tmp_path / "new.txt").read_text(encoding="utf-8") == "whole"


def test_a_full_disk_is_no_finished_file(tmp_path):
    """The system lets no file grow beyond some bytes, as a full disk would."""
    code = (
        "import resource, sys\n"
        "from seaflow.cli.main import main\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (300, 300))\n"
        "main(['new', 'boat.toml'])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert done.stderr.startswith("W03")
    assert list(tmp_path.iterdir()) == []


FILES_OF = [("survey", "new.html"), ("size", "new.csv"), ("place", "new.svg")]


@pytest.mark.parametrize("words", FILES_OF)
def test_a_section_that_is_not_there_writes_no_file(tmp_path, words):
    command, name = words
    boat = KETCH if command == "place" else GOOD  # a boat with places
    asked = [command, str(boat), "--section", "no such words", "-o", str(tmp_path / name)]
    done = CliRunner().invoke(main, asked)
    assert done.exit_code == 2
    assert "A04" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_record_and_its_checklist_want_two_names(tmp_path):
    boat, record = tmp_path / "boat.toml", tmp_path / "found.txt"
    boat.write_bytes(GOOD.read_bytes())
    words = ["survey", str(boat), "-o", str(record), "--checklist", str(record)]
    done = CliRunner().invoke(main, words)
    assert done.exit_code == 2
    assert "W05" in done.stderr
    assert not record.exists()
