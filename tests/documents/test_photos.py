"""Photos made small for paper."""

import io

import pytest
from PIL import Image

from pinseal.documents.photos import shrunk


def photo(size, form="JPEG", mode="RGB", **more):
    out = io.BytesIO()
    Image.new(mode, size, "teal").save(out, form, **more)
    return out.getvalue()


def opened(content):
    return Image.open(io.BytesIO(content))


@pytest.mark.parametrize(("size", "wanted"), [((4000, 3000), (640, 480)), ((3000, 4000), (480, 640)), ((200, 100), (200, 100))])
def test_a_photo_keeps_its_proportions_and_is_never_made_larger(size, wanted):
    assert opened(shrunk(photo(size), side=640)).size == wanted


def test_a_photo_taken_with_the_phone_on_its_side_stands_upright():
    turned = Image.Exif()
    turned[0x0112] = 6  # to be turned by a quarter: EXIF 2.32, tag Orientation (memory)
    assert opened(shrunk(photo((400, 200), exif=turned), side=640)).size == (200, 400)


def test_where_it_was_taken_does_not_leave_the_shop():
    said = Image.Exif()
    said[0x010F] = "maker of a camera"
    made = shrunk(photo((100, 100), exif=said), side=640)
    assert b"Exif" not in made
    assert b"maker of a camera" not in made


def test_a_drawing_without_ground_gets_a_white_one():
    clear = io.BytesIO()
    Image.new("RGBA", (50, 50), (0, 0, 0, 0)).save(clear, "PNG")
    assert opened(shrunk(clear.getvalue(), side=700, line=True)).getpixel((5, 5)) == (255, 255, 255)


@pytest.mark.parametrize("mode", ["L", "P", "1", "RGBA", "I;16"])
def test_every_kind_of_png_can_be_shown(mode):
    out = io.BytesIO()
    Image.new(mode, (30, 20)).save(out, "PNG")
    assert opened(shrunk(out.getvalue(), side=640)).size == (30, 20)


@pytest.mark.parametrize(
    "content", [b"", b"%PDF-1.7", photo((40, 40))[:200], b"\x89PNG\r\n\x1a\n" + b"\0" * 40], ids=["empty", "pdf", "cut", "png"]
)
def test_what_cannot_be_read_gives_nothing(content):
    assert shrunk(content, side=640) is None
