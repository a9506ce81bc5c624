"""A whole job goes out as one file and comes in again; a hostile file does nothing."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable, Iterator
from contextlib import suppress
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from drainwright.office.store import diary, files, jobs, links, packing, revisions
from drainwright.office.store.editing import Operation, sha256
from drainwright.office.store.errors import NotThereError, StoreError
from drainwright.office.store.opening import Store, open_store
from tests.office.conftest import Addresses
from tests.office.full import PHOTO, filled

Contents = dict[str, bytes]


def unzipped(data: bytes) -> Contents:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def zipped(contents: Contents) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in contents.items():
            packed.writestr(name, data)
    return stream.getvalue()


def signed(contents: Contents) -> bytes:
    """With digests that fit again: what somebody does who means harm."""
    manifest = json.loads(contents["manifest.json"])
    others = {name: data for name, data in contents.items() if name != "manifest.json"}
    manifest["files"] = {name: {"sha256": sha256(data), "size": len(data)} for name, data in others.items()}
    return zipped({"manifest.json": json.dumps(manifest).encode(), **others})


def test_a_job_goes_out_and_comes_in_whole(addresses: Addresses) -> None:
    store, other = open_store(addresses()), open_store(addresses())
    firm, job = filled(store)
    data = packing.pack(store, firm, job)
    assert packing.pack(store, firm, job) == data
    there = jobs.add_firm(other, "Another Company").id
    made = packing.unpack(other, there, data, "Birch")
    assert (made.id, made.stage, made.head, made.title) == (job, "accepted", 5, "Dry cellar")
    kept = [(one.number, one.parent, one.merged, one.text, one.who, one.at, one.what, one.problems, one.operations)
            for one in revisions.history(store, firm, job)]  # fmt: skip
    assert kept == [
        (one.number, one.parent, one.merged, one.text, one.who, one.at, one.what, one.problems, one.operations)
        for one in revisions.history(other, there, job)
    ]
    hung = files.attachments(other, there, job)
    assert [(one.name, one.pin, one.size) for one in hung] == [
        (one.name, one.pin, one.size) for one in files.attachments(store, firm, job)
    ]
    assert sorted({files.content(other, there, one.id) for one in hung}) == sorted([PHOTO, b"a sketch"])
    assert [one.words for one in diary.diary(other, there, job)][1:] == [
        one.words for one in diary.diary(store, firm, job)
    ]
    assert [one.record for one in links.acceptances(other, there, job)] == [{"total": "12000.00", "options": []}]
    assert [(one.due, one.what) for one in diary.reminders(other, there, job)] == [
        (one.due, one.what) for one in diary.reminders(store, firm, job)
    ]
    again = Operation(id="op-1", path="title", value="Dry cellar", was=None)
    assert revisions.apply(other, there, job, 2, [again], "Ash").number == 3  # it was made there already
    second = packing.unpack(other, there, data, "Birch")
    assert second.id != job
    assert len(jobs.listed(other, there)) == 2
    with pytest.raises(NotThereError):
        packing.unpack(other, "nobody", data, "Birch")
    with pytest.raises(NotThereError):
        packing.pack(other, firm, job)
    store.close()
    other.close()


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Store, str, Contents]]:
    """One store in a file, its firm, and a packed job: what is refused leaves them as they are."""
    store = open_store(f"sqlite:///{tmp_path_factory.mktemp('packing') / 'store.sqlite'}")
    firm, job = filled(store)
    yield store, firm, unzipped(packing.pack(store, firm, job))
    store.close()


def _with(name: str, data: bytes) -> Callable[[Contents], bytes]:
    return lambda contents: signed({**contents, name: data})


def _without(name: str) -> Callable[[Contents], bytes]:
    return lambda contents: signed({key: data for key, data in contents.items() if key != name})


def _records(change: Callable[[dict[str, Any]], object]) -> Callable[[Contents], bytes]:
    def made(contents: Contents) -> bytes:
        records = json.loads(contents["records.json"])
        change(records)
        return signed({**contents, "records.json": json.dumps(records).encode()})

    return made


def _manifest(**more: object) -> Callable[[Contents], bytes]:
    def made(contents: Contents) -> bytes:
        return zipped(
            {**contents, "manifest.json": json.dumps({**json.loads(contents["manifest.json"]), **more}).encode()}
        )

    return made


def _twice(contents: Contents) -> bytes:
    stream = io.BytesIO(zipped(contents))
    with zipfile.ZipFile(stream, "a") as packed, pytest.warns(UserWarning, match="Duplicate name"):
        packed.writestr("job.yaml", b"title: another\n")
    return stream.getvalue()


def _locked(contents: Contents) -> bytes:
    data = bytearray(zipped(contents))
    for sign, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        data[data.index(sign) + at] |= 1
    return bytes(data)


def _nul_in_a_name(contents: Contents) -> bytes:
    return _with("job.yaml#.exe", b"x")(contents).replace(b"job.yaml#.exe", b"job.yaml\0.exe")


def _odd_text(contents: Contents) -> bytes:
    contents = {**contents, "revisions/1.yaml": b"a: [1\n"}
    return _records(lambda one: one["revisions"][0].update(sha256=sha256(b"a: [1\n")))(contents)


LATEST = "9999-12-31T23:59:59-23:59"  # in UTC a day that no calendar has
HOSTILE: dict[str, tuple[Callable[[Contents], bytes], str]] = {
    "a time beyond the last": (_records(lambda one: one["attachments"][0].update(at=LATEST)), "as a time"),
    "no zip": (lambda _: b"not a zip at all", "no whole ZIP file"),
    "nothing": (lambda _: b"", "no whole ZIP file"),
    "upwards": (_with("../../etc/passwd", b"x"), "a file '../../etc/passwd' in it"),
    "absolute": (_with("/job.yaml", b"x"), "a file '/job.yaml' in it"),
    "backwards": (_with("attachments\\..\\x", b"x"), "in it; expected each"),
    "a nul in a name": (_nul_in_a_name, "in it; expected each"),
    "another file": (_with("run.sh", b"x"), "a file 'run.sh' in it"),
    "twice": (_twice, "a file 'job.yaml' in it"),
    "locked": (_locked, "without a password"),
    "bomb": (_with(f"attachments/{'0' * 64}", b"\0" * (files.MOST_BYTES + 1)), "with more than 20,000,000 bytes"),
    "large text": (_with("revisions/1.yaml", b"#" * 9_000_000), "with more than 8,000,000 bytes"),
    "another digest": (lambda contents: zipped({**contents, "job.yaml": b"title: x\n"}), "with another digest"),
    "another text": (_with("job.yaml", b"title: x\n"), "other than the newest revision"),
    "changed revision": (_with("revisions/2.yaml", b"title: x\n"), "revision 2 with another digest"),
    "no revision": (_without("revisions/2.yaml"), "revision 2 with another digest"),
    "odd text": (_odd_text, "revision 1 that cannot be parsed"),
    "changed photo": (_with(f"attachments/{sha256(PHOTO)}", b"x"), "does not bear its digest"),
    "no photo": (_without(f"attachments/{sha256(PHOTO)}"), "other attachments than the records name"),
    "no manifest": (lambda contents: zipped({"job.yaml": contents["job.yaml"]}), "no manifest.json"),
    "another form": (_manifest(form="x"), "another form"),
    "a later version": (_manifest(version=2), "another form"),
    "an odd job": (_manifest(job={"id": "x"}), "a job of another form"),
    "an odd stage": (
        _manifest(job={"id": "0" * 36, "stage": "x", "archived": False, "head": 1, "created": "x"}), "odd id or stage"
    ),
    "no records": (_with("records.json", b"[]"), "no records.json"),
    "a number that is none": (_with("records.json", b'{"a": NaN}'), "no records.json"),
    "deep": (_with("records.json", b"[" * 200_000), "no records.json"),
    "another list": (_records(lambda one: one.pop("events")), "records of another form"),
    "another key": (_records(lambda one: one["events"][0].update(firm="x")), "an entry of events of another form"),
    "a gap": (_records(lambda one: one["revisions"].pop(1)), "odd numbers"),
    "from the future": (_records(lambda one: one["revisions"][1].update(parent=3)), "odd numbers"),
    "a list as digest": (_records(lambda one: one["attachments"][0].update(sha256=[])), "an entry of attachments"),
    "event twice": (_records(lambda one: one["events"].append(one["events"][0])), "the same number or id twice"),
    "a bare time": (_records(lambda one: one["events"][0].update(at="2026-01-01T00:00:00")), "as a time"),
    "an odd day": (_records(lambda one: one["reminders"][0].update(due=7)), "as a time"),
    "a large number": (_records(lambda one: one["events"][0].update(number=2**40)), "as number"),
    "a flag": (_records(lambda one: one["attachments"][0].update(archived="no")), "as archived"),
    "a nul": (_records(lambda one: one["events"][0].update(words="a\0b")), "a control character"),
    "an odd edit": (_records(lambda one: one["revisions"][2].update(operations=[{"id": "x"}])), "an edit of another"),
    "an odd record": (_records(lambda one: one["acceptances"][0].update(record=[])), "as record"),
}  # fmt: skip


File = tuple[Store, str, Contents]


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_file_is_refused_and_leaves_nothing(file: File, name: str) -> None:
    store, firm, contents = file
    make, words = HOSTILE[name]
    _refused(store, firm, make(contents), words)


def test_what_the_database_finds_is_refused_by_both(store: Store, file: File) -> None:
    firm = jobs.add_firm(store, "Another Company").id
    for name in ("event twice", "a nul", "an odd edit", "a large number", "an odd record"):
        make, words = HOSTILE[name]
        _refused(store, firm, make(file[2]), words)


def _refused(store: Store, firm: str, data: bytes, words: str) -> None:
    before = len(jobs.listed(store, firm))
    with pytest.raises(StoreError) as caught:
        packing.unpack(store, firm, data, "x")
    assert words in str(caught.value)
    assert len(jobs.listed(store, firm)) == before


def test_a_bomb_is_read_no_further_than_its_limit(file: File, monkeypatch: pytest.MonkeyPatch) -> None:
    store, firm, contents = file
    monkeypatch.setattr(packing, "MOST_UNPACKED", 5000)
    _refused(store, firm, zipped(contents), "with more than")
    monkeypatch.setattr(packing, "MOST_FILES", 3)
    _refused(store, firm, zipped(contents), "files; expected at most 3")
    monkeypatch.setattr(packing, "MOST_PACKED", 100)
    _refused(store, firm, zipped(contents), "bytes; expected at most 100")


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_damage_breaks_the_reader(file: File, data: st.DataObject) -> None:
    store, firm, contents = file
    whole = bytearray(zipped(contents))
    for _ in range(data.draw(st.integers(1, 4))):
        whole[data.draw(st.integers(0, len(whole) - 1))] = data.draw(st.integers(0, 255))
    with suppress(StoreError):  # a byte may also do no harm
        packing.unpack(store, firm, bytes(whole), "x")
