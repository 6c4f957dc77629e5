# SPDX-License-Identifier: MIT
"""Files: in pieces, checked, encoded again, the original kept; what is no picture or too much of one is refused."""

from __future__ import annotations

import hashlib
import io
import os
import struct
import warnings
import zipfile
import zlib
from datetime import timedelta

import pytest
from django.db import connection
from django.test import override_settings
from django.utils import timezone
from PIL import Image

from brackish.errors import InputError
from brackish.web import models
from brackish.web.ledger import attachments
from brackish.web.ledger.check import differences
from tests.web.writing import JOB

URL = f"/api/v1/jobs/{JOB}/attachments"


def picture(size=(400, 300), form="JPEG", **more) -> bytes:
    out = io.BytesIO()
    Image.effect_noise(size, 80).convert("RGB").save(out, form, **more)
    return out.getvalue()


def send(client, data: bytes, *, media_type="image/jpeg", name="photo31.jpg", pieces=1, sha256=None):
    digest = sha256 or hashlib.sha256(data).hexdigest()
    answer = client.post(URL, {"sha256": digest, "name": name, "media_type": media_type, "size": len(data)}, content_type="application/json")
    step = -(-len(data) // pieces)
    for offset in range(0, len(data), step):
        if answer.status_code != 200:
            break
        answer = piece(client, digest, offset, data[offset : offset + step])
    return answer


def piece(client, digest, offset, data):
    return client.generic("PATCH", f"{URL}/{digest}", data, content_type="application/octet-stream", headers={"Upload-Offset": str(offset)})


def code(answer):
    return answer.json()["errors"][0]["code"]


def test_file_in_pieces_is_kept_byte_for_byte_and_shown_without_what_the_camera_added(workspace):
    client = workspace.client("tester")
    exif = Image.Exif()
    exif[0x0112], exif[0x010F], exif[0x8825] = 6, "Maker of cameras", {1: "N", 2: (51.0, 30.0, 0.0)}
    data = picture(exif=exif)
    assert send(client, data, pieces=5).json()["complete"]
    digest = hashlib.sha256(data).hexdigest()
    assert client.get(f"{URL}/{digest}?original=true").content == data
    shown = client.get(f"{URL}/{digest}")
    assert b"Maker of cameras" not in shown.content
    copy = Image.open(io.BytesIO(shown.content))
    assert (copy.size, dict(copy.getexif())) == ((300, 400), {})  # upright, and nothing else known
    assert "sandbox" in shown.headers["Content-Security-Policy"]


def test_interrupted_upload_goes_on_where_it_stopped(workspace):
    client, data = workspace.client("tester"), picture()
    digest, half = hashlib.sha256(data).hexdigest(), len(data) // 2
    words = {"sha256": digest, "name": "a.jpg", "media_type": "image/jpeg", "size": len(data)}
    client.post(URL, words, content_type="application/json")
    piece(client, digest, 0, data[:half])
    assert client.post(URL, words, content_type="application/json").json()["received"] == half
    assert piece(client, digest, 0, data[:half]).json()["received"] == half  # the answer was lost; sent again
    early = piece(client, digest, half + 1, data[half + 1 :])
    assert (early.status_code, code(early)) == (409, "attachment.offset")
    assert client.get(f"{URL}/{digest}").status_code == 404
    assert piece(client, digest, half, data[half:]).json()["complete"]
    assert send(client, data).json()["complete"]  # all of it again changes nothing
    assert models.Attachment.objects.count() == 1


@pytest.mark.parametrize(
    ("data", "media_type", "wanted"),
    [
        (b"<html><script>alert(1)</script>", "image/jpeg", "attachment.type"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "image/svg+xml", "input.not_one_of"),
        (b"MZ\x90", "application/x-msdownload", "input.not_one_of"),
        (b"\xff\xd8\xff" + b"rubbish" * 9, "image/jpeg", "attachment.unreadable"),
        (picture()[:2000], "image/jpeg", "attachment.unreadable"),
        (picture(form="PNG"), "image/jpeg", "attachment.type"),
    ],
)
def test_what_is_not_what_it_says_is_refused_and_not_kept(workspace, data, media_type, wanted):
    answer = send(workspace.client("tester"), data, media_type=media_type)
    assert (answer.status_code, code(answer)) == (422, wanted)
    assert not models.Attachment.objects.exclude(original="").exists()


def test_bytes_with_another_hash_are_thrown_away_and_may_come_again(workspace):
    client, data = workspace.client("tester"), picture()
    digest = hashlib.sha256(data).hexdigest()
    wrong = send(client, data[:-1] + b"x", sha256=digest)
    assert (wrong.status_code, code(wrong)) == (422, "attachment.hash")
    assert send(client, data).json()["complete"]


@pytest.mark.parametrize("name", ["../secret", "a\\b", "", "x" * 201, "a\x00b"])
def test_file_names_stay_names(workspace, name):
    assert send(workspace.client("tester"), picture(), name=name).status_code == 422


def test_file_that_is_too_large_is_refused_before_it_is_sent(workspace):
    words = {"sha256": "0" * 64, "name": "a.jpg", "media_type": "image/jpeg", "size": attachments.LARGEST + 1}
    assert workspace.client("tester").post(URL, words, content_type="application/json").status_code == 422


def test_decompression_bomb_is_refused_unread():
    with pytest.raises(InputError) as raised:
        attachments.encoded_again(_bomb(60_000, 60_000), media_type="image/png")
    assert raised.value.code in ("attachment.too_many_points", "attachment.unreadable")
    with pytest.raises(InputError) as raised:
        attachments.encoded_again(_bomb(8_000, 8_000), media_type="image/png")
    assert raised.value.code == "attachment.too_many_points"


def _bomb(width: int, height: int) -> bytes:
    """A PNG of a few kilobytes that says it unfolds into a wall of zeros."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(bytes(3 * width + 1))) + chunk(b"IEND", b"")


@pytest.mark.slow
@pytest.mark.parametrize(("form", "media_type"), [("PNG", "image/png"), ("WEBP", "image/webp"), ("HEIF", "image/heic")])
def test_other_pictures_become_a_plain_one(form, media_type):
    if form == "HEIF":
        import pillow_heif

        pillow_heif.register_heif_opener()
    copy = Image.open(io.BytesIO(attachments.encoded_again(picture((3000, 200), form), media_type=media_type)))
    assert (copy.format, copy.size) == ("JPEG", (2048, 137))


def test_attachment_travels_with_the_ledger(workspace, folder):
    data = picture()
    digest = hashlib.sha256(data).hexdigest()
    send(workspace.client("tester"), data)
    event = workspace.writer("tester").write("attach", ("test", "T1", "photos", "#31"), ["photo31.jpg", digest, "image/jpeg", len(data)])
    workspace.send("tester", event)
    file = workspace.client("owner").get(f"/api/v1/ledgers/{JOB}").content
    models.Attachment.objects.all().delete()
    answer = workspace.client("owner").generic("POST", "/api/v1/ledgers", file, content_type="application/zip")
    assert {each["state"] for each in answer.json()["events"]} == {"known"}
    assert workspace.client("reader").get(f"{URL}/{digest}?original=true").content == data


def bring(workspace, file):
    return workspace.client("owner").generic("POST", "/api/v1/ledgers", file, content_type="application/zip")


@pytest.mark.parametrize("again", ["sent", "imported"])
@pytest.mark.parametrize("lost", ["{0}", "{0}.jpg"])
def test_file_that_was_lost_on_the_disk_may_come_again(workspace, folder, again, lost):
    client, data = workspace.client("tester"), picture()
    digest = hashlib.sha256(data).hexdigest()
    workspace.send("tester", workspace.writer("tester").set(("test", "T1", "item"), "girder"))
    send(client, data)
    file = workspace.client("owner").get(f"/api/v1/ledgers/{JOB}").content
    (folder / "attachments" / JOB / lost.format(digest)).unlink()
    answer = send(client, data) if again == "sent" else bring(workspace, file)
    assert answer.status_code == 200, answer.content
    assert list(differences(models.Job.objects.get(id=JOB))) == []
    assert client.get(f"{URL}/{digest}?original=true").content == data
    assert client.get(f"{URL}/{digest}").status_code == 200


@pytest.mark.parametrize(("named", "data"), [(b"another", b"%PDF-1"), (b"MZ", b"MZ"), (b"\xff\xd8\xff no picture", b"\xff\xd8\xff no picture")])
def test_nothing_is_taken_of_a_ledger_with_a_file_that_is_not_what_it_says(workspace, named, data):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("ledger.jsonl", workspace.writer("owner").set(("job", "title"), "one").data + b"\n")
        archive.writestr(f"attachments/{hashlib.sha256(named).hexdigest()}", data)
    assert bring(workspace, out.getvalue()).status_code == 422
    assert models.Event.objects.count() == 0


def test_files_of_a_ledger_that_lie_over_each_other_are_refused_unread(workspace):
    """Each of thousands could hold all that follow it, and a megabyte would fill the memory."""
    local = struct.Struct("<4s5H3L2H")
    held, central = b"%PDF-" + bytes(1_000), b""
    names = [f"attachments/{number:064x}".encode() for number in range(3)]
    for at, name in reversed([(number * (local.size + len(name)), name) for number, name in enumerate(names)]):  # from the innermost outwards
        sizes = (zlib.crc32(held), len(held), len(held), len(name), 0)
        central += struct.pack("<4s6H3L5H2L", b"PK\x01\x02", 20, 20, 0, 0, 0, 33, *sizes, 0, 0, 0, 0, at) + name
        held = local.pack(b"PK\x03\x04", 20, 0, 0, 0, 33, *sizes) + name + held
    out = io.BytesIO(held + central + struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 3, 3, len(central), len(held), 0))
    with zipfile.ZipFile(out, "a") as archive:
        assert [entry.file_size for entry in archive.infolist()] == [1_005, 1_111, 1_217]  # one in the other; later Pythons refuse to read them
        archive.writestr("ledger.jsonl", workspace.writer("owner").set(("job", "title"), "one").data + b"\n")
    answer = bring(workspace, out.getvalue())
    assert (answer.status_code, answer.json()["errors"][0]["place"]) == (422, "attachments")


def test_picture_that_no_event_names_travels_with_the_ledger(workspace):
    data = picture()
    send(workspace.client("tester"), data)
    workspace.send("tester", workspace.writer("tester").set(("test", "T1", "item"), "girder"))
    file = workspace.client("owner").get(f"/api/v1/ledgers/{JOB}").content
    models.Attachment.objects.all().delete()
    answer = workspace.client("owner").generic("POST", "/api/v1/ledgers", file, content_type="application/zip")
    assert answer.status_code == 200, answer.content
    assert models.Attachment.objects.get().media_type == "image/jpeg"
    assert workspace.client("owner").get(f"/api/v1/ledgers/{JOB}").content == file


def test_file_of_no_known_type_in_a_ledger_is_refused():
    with pytest.raises(InputError) as raised:
        attachments.read_whole(sha256=hashlib.sha256(b"MZ").hexdigest(), data=b"MZ")
    assert raised.value.code == "attachment.type"


@override_settings(DATA_UPLOAD_MAX_MEMORY_SIZE=10)
def test_ledger_larger_than_a_list_of_events_comes_in(workspace):
    event = workspace.writer("owner").set(("job", "title"), "one")
    answer = workspace.client("owner").generic("POST", "/api/v1/ledgers", event.data + b"\n", content_type="application/octet-stream")
    assert answer.status_code == 200, answer.content


def test_file_announced_as_something_else_is_taken_when_announced_rightly(workspace):
    client, data = workspace.client("tester"), picture(form="PNG")
    assert code(send(client, data)) == "attachment.type"
    assert send(client, data, media_type="image/png", name="weld.png").json()["complete"]
    assert models.Attachment.objects.get().name == "weld.png"


def test_name_with_a_line_end_is_one_line_when_the_file_is_read(workspace):
    client, data = workspace.client("tester"), b"%PDF-1.4 drawing"
    assert send(client, data, name="plan\r\nX-Evil: dessin d’été.pdf", media_type="application/pdf").status_code == 200
    answer = client.get(f"{URL}/{hashlib.sha256(data).hexdigest()}")
    assert answer.status_code == 200
    assert answer.headers["Content-Disposition"].startswith("attachment; filename*=utf-8''plan%20X-Evil")


def test_half_a_file_that_nobody_goes_on_sending_is_thrown_away(workspace, folder):
    client, data, other = workspace.client("tester"), picture(), picture((80, 60))
    digest, half = hashlib.sha256(data).hexdigest(), len(data) // 2
    words = {"sha256": digest, "name": "a.jpg", "media_type": "image/jpeg", "size": len(data)}
    client.post(URL, words, content_type="application/json")
    piece(client, digest, 0, data[:half])
    pieces = folder / "attachments" / JOB / "pieces"
    models.Attachment.objects.update(at=timezone.now() - attachments.LONGEST_PAUSE + timedelta(minutes=1))
    send(client, other)
    assert [file.name for file in pieces.iterdir()] == [f"{digest}.0"]  # six days are no week
    models.Attachment.objects.update(at=timezone.now() - attachments.LONGEST_PAUSE)
    send(client, other)
    assert list(pieces.iterdir()) == []
    assert [row.sha256 for row in models.Attachment.objects.all()] == [hashlib.sha256(other).hexdigest()]  # a whole file stays, however old
    assert client.post(URL, words, content_type="application/json").json()["received"] == 0
    assert send(client, data).json()["complete"]


@pytest.mark.parametrize("left", [None, b""])
def test_piece_that_is_gone_lets_the_file_begin_anew(workspace, folder, left):
    """The server was killed between throwing pieces away and saying so; or a power cut left a piece empty."""
    client, data = workspace.client("tester"), picture()
    digest, half = hashlib.sha256(data).hexdigest(), len(data) // 2
    client.post(URL, {"sha256": digest, "name": "a.jpg", "media_type": "image/jpeg", "size": len(data)}, content_type="application/json")
    piece(client, digest, 0, data[:half])
    first = folder / "attachments" / JOB / "pieces" / f"{digest}.0"
    first.unlink() if left is None else first.write_bytes(left)
    assert code(piece(client, digest, half, data[half:])) == "attachment.hash"
    assert send(client, data).json()["complete"]


@pytest.mark.skipif(not os.path.exists("/proc/self/fd"), reason="the system does not say which file a handle is")
def test_file_is_on_the_disk_before_its_sender_is_told(workspace, folder, monkeypatch):
    written = []
    monkeypatch.setattr("os.fsync", lambda handle: written.append(os.readlink(f"/proc/self/fd/{handle}")))
    data = picture()
    digest = hashlib.sha256(data).hexdigest()
    assert send(workspace.client("tester"), data).json()["complete"]
    of_job = folder / "attachments" / JOB
    assert {str(of_job / "pieces" / f"{digest}.0"), str(of_job / digest), str(of_job / f"{digest}.jpg"), str(of_job)} <= set(written)


def test_opening_a_picture_leaves_the_warnings_of_other_threads_alone(monkeypatch):
    def entered(self):
        pytest.fail("warnings.catch_warnings changes those of the whole process, and two threads put them back in the wrong order")

    monkeypatch.setattr(warnings.catch_warnings, "__enter__", entered)
    assert attachments.encoded_again(picture(), media_type="image/jpeg").startswith(b"\xff\xd8\xff")


def test_nobody_waits_to_write_while_a_picture_is_encoded(workspace, monkeypatch):
    encode, inside = attachments.encoded_again, []

    def watched(data, *, media_type):
        inside.append(len(connection.savepoint_ids))  # the test's own transaction is around all of it
        return encode(data, media_type=media_type)

    monkeypatch.setattr(attachments, "encoded_again", watched)
    data = picture()
    assert send(workspace.client("tester"), data).json()["complete"]
    workspace.send("tester", workspace.writer("tester").set(("test", "T1", "item"), "girder"))
    file = workspace.client("owner").get(f"/api/v1/ledgers/{JOB}").content
    models.Attachment.objects.all().delete()
    assert bring(workspace, file).status_code == 200
    assert inside == [0, 0]


def test_last_piece_sent_twice_at_once_leaves_the_file_whole(workspace, monkeypatch):
    client, data = workspace.client("tester"), picture()
    digest, encode = hashlib.sha256(data).hexdigest(), attachments.encoded_again

    def slow(data, *, media_type):
        monkeypatch.setattr(attachments, "encoded_again", encode)
        assert piece(client, digest, 0, data).json()["complete"]  # sent again, for the first answer did not come in time
        return encode(data, media_type=media_type)

    monkeypatch.setattr(attachments, "encoded_again", slow)
    assert send(client, data).json()["complete"]
    assert client.get(f"{URL}/{digest}?original=true").content == data


def test_check_finds_files_that_are_gone_or_changed(workspace, folder):
    data = picture()
    assert send(workspace.client("tester"), data).json()["complete"]
    assert list(differences(workspace.job)) == []
    digest = hashlib.sha256(data).hexdigest()
    original = folder / "attachments" / JOB / digest
    (folder / "attachments" / JOB / f"{digest}.jpg").unlink()
    original.write_bytes(data[:-1] + b"x")
    assert list(differences(workspace.job)) == [f"the copy for people of the file {digest} is missing", f"the file {digest} has another hash"]
    original.unlink()
    assert list(differences(workspace.job))[1:] == [f"the file {digest} is missing"]
