"""Photos of an entry: encoded anew without what the camera wrote beside them, few, counted once, seen by a few."""

from __future__ import annotations

import struct
import zlib
from datetime import UTC, date, datetime
from hashlib import sha256
from io import BytesIO
from uuid import UUID, uuid4

import pytest
from django.db import DatabaseError
from PIL import Image

from jobs.models import AuditRecord, EntryPhoto
from jobs.models.photos import MOST_PHOTOS
from jobs.pictures import LONG_SIDE, MOST_BYTES, NoPhoto, plain_picture
from jobs.refusals import Conflict, Invalid, NotAllowed, NotFound, UuidReused
from jobs.requests import PersonAsked, PhotoRequest, SharesAsked
from jobs.selectors.audit_chain import audit_breaks
from jobs.selectors.photos import PhotoRow, photo_image, photo_rows, photos_of_entry
from jobs.services.audit_sealing import audit_seal
from jobs.services.entries import entry_correct, entry_log
from jobs.services.people import person_leave
from jobs.services.person_forgetting import person_forget
from jobs.services.photos import photo_add
from jobs.tenancy import organisation_scope
from tests.jobs.sql import as_application, as_owner
from tests.jobs.world import NOW, World, entry
from tests.support.at_once import at_once
from tests.support.camera import shot

WHITE = (255, 255, 255)
# Tags of the Exif 2.32 standard (CIPA DC-008): orientation, maker of the camera, time, and the folder of the place.
ORIENTATION, MAKER, TAKEN, PLACE = 0x0112, 0x010F, 0x9003, 0x8825


def exif(orientation: int = 1) -> Image.Exif:
    facts = Image.Exif()
    facts[ORIENTATION], facts[MAKER] = orientation, "CAMERA-OF-SOMEBODY"
    facts.get_ifd(PLACE)[1] = "N"
    return facts


def opened(jpeg: bytes) -> Image.Image:
    return Image.open(BytesIO(jpeg))


def red_at(jpeg: bytes) -> set[str]:
    """Which quarters are red, as seen by a viewer that knows nothing of orientations."""
    image = opened(jpeg)
    wide, high = image.size
    places = {"left above": (1, 1), "right above": (3, 1), "left below": (1, 3), "right below": (3, 3)}
    return {name for name, (x, y) in places.items() if image.getpixel((wide * x // 4, high * y // 4))[1] < 100}


def png_of(width: int, height: int) -> bytes:
    """A whole PNG of a few bytes that says it is this large (PNG, 3rd edition, 5.3 and 11.2)."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    rows = zlib.compress(b"\0" * ((width // 8 + 1) * min(height, 1000)), 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


@pytest.fixture
def logged(world: World) -> UUID:
    shares = SharesAsked(people=(PersonAsked(world.people[0]),))
    request = entry(world, world.unit("A", "TRACK"), "10", shares=shares)
    return entry_log(actor=world.foreman, request=request, now=NOW).uuid


def add(
    world: World, about: UUID, source: bytes | None = None, role: str = "foreman", uuid: UUID | None = None
) -> PhotoRow:
    request = PhotoRequest(uuid or uuid4(), about, shot() if source is None else source, NOW)
    return photo_add(actor=world.actors[role], request=request, now=NOW)


def test_nothing_of_the_file_is_kept_but_what_is_seen():
    source = shot(exif=exif(), comment=b"A COMMENT", icc_profile=b"A PROFILE" * 20)
    for word in (b"CAMERA-OF-SOMEBODY", b"A COMMENT", b"A PROFILE", b"Exif"):
        assert word in source
        assert word not in plain_picture(source).jpeg
    kept = opened(plain_picture(source).jpeg)
    assert kept.format == "JPEG"
    assert set(kept.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    assert not kept.getexif()


# Exif 2.32, 4.6.4 A, Orientation: where row 0 and column 0 of the file are seen; the red quarter lies at both.
@pytest.mark.parametrize(
    ("orientation", "seen"),
    [
        (1, "left above"), (2, "right above"), (3, "right below"), (4, "left below"),
        (5, "left above"), (6, "right above"), (7, "right below"), (8, "left below"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_it_is_turned_upright_first(orientation: int, seen: str, kind: str):
    kept = plain_picture(shot(kind=kind, exif=exif(orientation)))
    assert red_at(kept.jpeg) == {seen}
    assert (kept.width, kept.height) == opened(kept.jpeg).size
    assert (kept.width > kept.height) == (orientation < 5)


def test_large_ones_are_made_smaller_and_small_ones_stay():
    large, small = plain_picture(shot((4000, 3000))), plain_picture(shot((300, 200)))
    assert (large.width, large.height) == (LONG_SIDE, LONG_SIDE * 3 // 4)
    assert (small.width, small.height) == (300, 200)


def test_what_can_be_seen_through_lies_on_white():
    image = Image.new("RGBA", (40, 40), (200, 0, 0, 0))
    out = BytesIO()
    image.save(out, "PNG")
    assert opened(plain_picture(out.getvalue()).jpeg).getpixel((20, 20)) == WHITE


@pytest.mark.parametrize("size", [(50_001, 1000), (30_000, 30_000)])
def test_a_picture_of_too_many_pixels_is_refused_unread(size: tuple[int, int]):
    source = png_of(*size)
    assert len(source) < 100_000
    with pytest.raises(NoPhoto, match="pixels"):
        plain_picture(source)


@pytest.mark.parametrize(
    "source",
    [
        b"",
        b"not a picture",
        shot()[:300],
        shot(kind="PNG")[:200],
        shot(kind="GIF"),
        shot(kind="TIFF"),
        b"\xff\xd8" * 99,
    ],
    ids=["empty", "text", "cut JPEG", "cut PNG", "GIF", "TIFF", "heads alone"],
)
def test_what_is_no_photo_is_refused(world: World, logged: UUID, source: bytes):
    with pytest.raises(Invalid, match="no photo that can be read"):
        add(world, logged, source)


def test_a_file_of_too_many_bytes_is_refused():
    with pytest.raises(NoPhoto, match="10,000,000 are the most"):
        plain_picture(shot() + bytes(MOST_BYTES))


def test_sent_twice_it_counts_once_and_is_audited(world: World, logged: UUID):
    uuid = uuid4()
    first = add(world, logged, uuid=uuid)
    assert add(world, logged, uuid=uuid) == first
    with pytest.raises(UuidReused) as reused:
        add(world, logged, shot((10, 10)), uuid=uuid)
    assert [mistake.path for mistake in reused.value.mistakes] == ["photo"]
    with organisation_scope(world.organisation):
        image = photo_image(world.foreman, uuid)
        assert first.sha256 == sha256(image).hexdigest()
        assert first.size == len(image)
        [told] = AuditRecord.objects.filter(action="photo_add")
        assert (told.subject_key, told.after["sha256"]) == (str(uuid), first.sha256)
        assert EntryPhoto.objects.count() == 1


def test_an_entry_has_a_few_whatever_arrives_at_the_same_moment(committed_world: World):
    world = committed_world
    request = entry(world, world.unit("A", "TRACK"), "1")
    entry_log(actor=world.foreman, request=request, now=NOW)

    def one(_: int) -> str:
        try:
            return str(add(world, request.uuid).position)
        except Conflict as full:
            return str(full)

    told = sorted(at_once(one, range(MOST_PHOTOS + 6)))
    assert told[:MOST_PHOTOS] == [str(nth) for nth in range(1, MOST_PHOTOS + 1)]
    assert set(told[MOST_PHOTOS:]) == {"The entry has 6 photos, 6 are the most."}


def test_one_photo_sent_by_many_at_once_is_one(committed_world: World):
    world = committed_world
    request = entry(world, world.unit("A", "TRACK"), "1")
    entry_log(actor=world.foreman, request=request, now=NOW)
    uuid = uuid4()
    assert len(set(at_once(lambda _: add(world, request.uuid, uuid=uuid), range(8)))) == 1


def test_they_are_seen_by_whom_the_entry_is_seen(world: World, other: World, logged: UUID):
    others = entry(world, world.unit("A", "TRACK"), "1", shares=SharesAsked(people=(PersonAsked(world.people[1]),)))
    entry_log(actor=world.foreman, request=others, now=NOW)
    mine, his = add(world, logged), add(world, others.uuid)
    seen = {}
    with organisation_scope(world.organisation):
        for role in ("owner", "office", "foreman", "worker"):
            seen[role] = {one.uuid for one in photo_rows(world.actors[role])}
        with pytest.raises(NotFound):
            photo_image(world.actors["worker"], his.uuid)
        with pytest.raises(NotFound):
            photos_of_entry(world.actors["worker"], others.uuid)
    everything = {mine.uuid, his.uuid}
    assert seen == {"owner": everything, "office": everything, "foreman": everything, "worker": {mine.uuid}}
    with organisation_scope(other.organisation), pytest.raises(NotFound):
        photo_image(other.owner, mine.uuid)


def test_they_are_added_by_whom_the_entry_may_be_logged(world: World, other: World, logged: UUID):
    with pytest.raises(NotAllowed):
        add(world, logged, role="worker")
    with pytest.raises(NotFound):
        add(other, logged)
    with pytest.raises(NotFound):
        add(world, uuid4())


def test_a_correction_shows_those_of_the_entry_before_it(world: World, logged: UUID):
    before = add(world, logged)
    correction = entry(world, None, "12", replaces=logged)
    entry_correct(actor=world.foreman, request=correction, now=NOW)
    after = add(world, correction.uuid)
    with organisation_scope(world.organisation):
        assert photos_of_entry(world.foreman, correction.uuid) == [before, after]
        assert photos_of_entry(world.foreman, logged) == [before]


def test_the_database_takes_no_other_image_and_no_other_fact(world: World, logged: UUID):
    add(world, logged)
    with pytest.raises(DatabaseError, match="entry_photo_is_the_one_hashed"):
        as_application(world, "UPDATE jobs_entryphoto SET image = 'another'")
    for sql in ("UPDATE jobs_entryphoto SET sha256 = ''", "DELETE FROM jobs_entryphoto"):
        with pytest.raises(DatabaseError, match="permission denied"):
            as_application(world, sql)


def test_not_even_the_owner_of_the_tables_empties_them(committed_db: None):
    with pytest.raises(DatabaseError, match="never changed or deleted"):
        as_owner("TRUNCATE jobs_entryphoto")


def test_it_leaves_with_who_is_forgotten(world: World, logged: UUID):
    kept = add(world, logged)
    person_leave(actor=world.owner, person=world.people[0], left_on=date(2026, 11, 20), now=NOW)
    # Four years and a day: see test_a_person_can_be_forgotten.
    then = datetime(2030, 11, 21, 12, tzinfo=UTC)
    person_forget(actor=world.owner, person=world.people[0], now=then)
    audit_seal(organisation=world.organisation, now=then)
    with organisation_scope(world.organisation):
        [left] = photo_rows(world.owner)
        assert (left.size, left.sha256) == (0, kept.sha256)
        assert not list(audit_breaks())
        with pytest.raises(NotFound):
            photo_image(world.owner, kept.uuid)
