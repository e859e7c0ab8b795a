"""JPEG pictures as encoders and cameras write them."""

import io

from PIL import ExifTags, Image

LATITUDE = (46.0, 29.0, 51.0)
"""Degrees, minutes, seconds north, as a camera notes them."""


def picture(width: int = 64, height: int = 48) -> Image.Image:
    """A picture with edges, so that its data hold stuffed bytes."""
    made = Image.effect_noise((width, height), 90)
    return Image.merge("RGB", (made, made.rotate(90, expand=False), made.rotate(180)))


def written(made: Image.Image, **more: object) -> bytes:
    """The picture as JPEG."""
    kept = io.BytesIO()
    made.save(kept, "JPEG", **more)
    return kept.getvalue()


def plain_jpeg(width: int = 64, height: int = 48, **more: object) -> bytes:
    """A picture and nothing beside it."""
    return written(picture(width, height), **more)


def camera_jpeg(width: int = 64, height: int = 48) -> bytes:
    """A photo that tells where and by what it was taken."""
    exif = Image.Exif()
    exif[ExifTags.Base.Model] = "Pocket camera"
    exif.get_ifd(ExifTags.IFD.GPSInfo).update({
        ExifTags.GPS.GPSLatitudeRef: "N",
        ExifTags.GPS.GPSLatitude: LATITUDE,
        ExifTags.GPS.GPSLongitudeRef: "E",
        ExifTags.GPS.GPSLongitude: (11.0, 20.0, 34.0),
    })
    return written(picture(width, height), exif=exif)


def where_taken(jpeg: bytes) -> dict[int, object]:
    """What a JPEG tells of the place it was taken at."""
    with Image.open(io.BytesIO(jpeg)) as read:
        return dict(read.getexif().get_ifd(ExifTags.IFD.GPSInfo))
