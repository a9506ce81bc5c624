"""The command that opens the web app."""

from __future__ import annotations

import re
import signal
import socket
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.office.settings import DEV_ASSETS


def test_serve_opens_the_app_on_this_machine_alone_and_ends_by_an_interrupt(tmp_path: Path) -> None:
    store = f"sqlite:///{tmp_path / 'store.sqlite'}"
    command = [sys.executable, "-c", "from drainwright.cli import main; main()", "serve", "--port", "0", "--no-open"]
    command += ["--store", store]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        try:
            line = running.stdout.readline()
            found = re.search(r"http://127\.0\.0\.1:([0-9]+)/", line)
            assert found is not None, line
            with urllib.request.urlopen(found[0], timeout=30) as answer:
                assert b"Drainwright" in answer.read()
            with pytest.raises(OSError, match="refused"):  # not on this machine's other addresses
                socket.create_connection(("127.0.0.2", int(found[1])), timeout=5)
        finally:
            running.send_signal(signal.SIGINT)
            _, told = running.communicate(timeout=30)
    assert running.returncode in {0, 130}  # 130: as shells count an interrupt
    assert "Traceback" not in told


def test_a_second_interrupt_ends_it_at_once_and_quietly_while_somebody_is_still_sending(tmp_path: Path) -> None:
    store = f"sqlite:///{tmp_path / 'store.sqlite'}"
    command = [sys.executable, "-c", "from drainwright.cli import main; main()", "serve", "--port", "0", "--no-open"]
    with subprocess.Popen(
        [*command, "--store", store], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as running:
        assert running.stdout is not None
        try:
            found = re.search(r"http://127\.0\.0\.1:([0-9]+)/", running.stdout.readline())
            assert found is not None
            with urllib.request.urlopen(found[0], timeout=30) as answer:
                assert answer.status == 200
            with socket.create_connection(("127.0.0.1", int(found[1])), timeout=30) as half:
                half.sendall(
                    f"POST /jobs/new HTTP/1.1\r\nhost: 127.0.0.1:{found[1]}\r\ncontent-length: 500\r\n"
                    "content-type: application/x-www-form-urlencoded\r\nexpect: 100-continue\r\n\r\n".encode()
                )
                assert half.recv(100).startswith(b"HTTP/1.1 100")  # the app waits for the form
                running.send_signal(signal.SIGINT)
                with pytest.raises(subprocess.TimeoutExpired):
                    running.wait(2)  # it waits, too
                running.send_signal(signal.SIGINT)
                _, told = running.communicate(timeout=30)
        finally:
            running.kill()
    assert "Traceback" not in told


def test_a_store_that_cannot_be_had_is_told_before_anything_opens(tmp_path: Path) -> None:
    wrong = tmp_path / "notes.txt"
    wrong.write_text("no database at all, but long enough to be taken for one by its size alone" * 20)
    result = CliRunner().invoke(app, ["serve", "--port", "0", "--no-open", "--store", f"sqlite:///{wrong}"])
    assert result.exit_code == 2
    assert "found a file of another kind" in result.output
    assert "expected a store" in result.output


def test_a_port_that_is_taken_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DRAINWRIGHT_STORE", f"sqlite:///{tmp_path / 'store.sqlite'}")
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        result = CliRunner().invoke(app, ["serve", "--port", str(port), "--no-open"])
    assert result.exit_code == 2
    assert f"found {port}" in result.output
    assert "expected one that is free, or 0 for any" in result.output


def test_a_missing_front_end_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(DEV_ASSETS, str(tmp_path))
    monkeypatch.setenv("DRAINWRIGHT_STORE", f"sqlite:///{tmp_path / 'store.sqlite'}")
    result = CliRunner().invoke(app, ["serve", "--port", "0", "--no-open"])
    assert result.exit_code == 2
    assert "expected the front end's bundle. Run: " in result.output


def test_a_firm_with_its_owner_is_made_at_the_command_line_once(tmp_path: Path) -> None:
    store = f"sqlite:///{tmp_path / 'store.sqlite'}"
    words = ["firm", "new", "Example Drainage Company", "--email", "ash@example.org", "--name", "Ash", "--store", store]
    typed = "correct brown horse\n" * 2
    told = CliRunner().invoke(app, words, input="short\nshort\n")
    assert (told.exit_code, "12 to 200" in told.output) == (2, True)
    told = CliRunner().invoke(app, words, input=typed)
    assert told.exit_code == 0, told.output
    assert "Ash owns Example Drainage Company and signs in as ash@example.org" in told.output
    assert "correct brown horse" not in told.output
    told = CliRunner().invoke(app, words, input=typed)
    assert (told.exit_code, "people who can sign in" in told.output) == (2, True)


@pytest.mark.parametrize("option", [["--bind", "0.0.0.0"], ["--name", "drains.example.org"], ["--https"]])
def test_an_office_that_others_reach_has_sign_in(tmp_path: Path, option: list[str]) -> None:
    store = f"sqlite:///{tmp_path / 'store.sqlite'}"
    told = CliRunner().invoke(app, ["serve", "--port", "0", "--no-open", "--store", store, *option])
    assert told.exit_code == 2
    assert "expected --people" in told.output


def test_a_store_with_passwords_is_opened_with_sign_in(tmp_path: Path) -> None:
    from drainwright.commands.serve import _settings
    from drainwright.office.store.opening import open_store
    from drainwright.office.store.people import first_owner

    url = f"sqlite:///{tmp_path / 'store.sqlite'}"
    assert _settings(url, None, (), "127.0.0.1", False).local
    asked = _settings(url, True, ("Drains.example.org",), "0.0.0.0", True)
    assert (asked.local, asked.secure, len(asked.first_code) > 12) == (False, True, True)
    assert "drains.example.org" in asked.hosts
    store = open_store(url)
    first_owner(store, "Firm", "Ash", "ash@example.org", "hash")
    store.close()
    known = _settings(url, None, (), "127.0.0.1", False)
    assert (known.local, known.first_code) == (False, "")
    told = CliRunner().invoke(app, ["serve", "--port", "0", "--no-open", "--store", url, "--alone"])
    assert (told.exit_code, "expected --people" in told.output) == (2, True)
