"""KML and GPX: hardened parsing, nothing fetched, one bad feature does not spoil the others."""

import socket
import threading

import pytest

from bad_files import good_files, zipped
from orchardmap.errors import ImportFileError
from orchardmap.geodata.read import read_file

KML = '<kml xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="http://www.google.com/kml/ext/2.2"><Document>{}</Document></kml>'
RING = "11,46 11.001,46 11.001,46.001 11,46.001 11,46"
OUTER = "<outerBoundaryIs><LinearRing><coordinates>{}</coordinates></LinearRing></outerBoundaryIs>"


def _kml(*marks: str) -> bytes:
    return KML.format("".join(f"<Placemark>{mark}</Placemark>" for mark in marks)).encode()


def _polygon(ring: str) -> str:
    return f"<Polygon>{OUTER.format(ring)}</Polygon>"


@pytest.fixture
def listener():
    """A port that counts who comes."""
    came = []
    server = socket.create_server(("127.0.0.1", 0))
    server.settimeout(0.2)
    stop = threading.Event()

    def wait() -> None:
        while not stop.is_set():
            try:
                connection, _ = server.accept()
            except TimeoutError:
                continue
            came.append(1)
            connection.close()

    thread = threading.Thread(target=wait)
    thread.start()
    yield server.getsockname()[1], came
    stop.set()
    thread.join()
    server.close()


@pytest.mark.parametrize(
    "evil",
    [
        '<!DOCTYPE kml [<!ENTITY x SYSTEM "file:///etc/passwd">]><kml><Placemark><name>&x;</name></Placemark></kml>',
        '<!DOCTYPE kml [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]><kml><Placemark><name>&b;</name></Placemark></kml>',
        '<!DOCTYPE kml SYSTEM "http://127.0.0.1:1/kml.dtd"><kml/>',
        '<!DOCTYPE gpx [<!ENTITY x "y">]><gpx><wpt lat="46" lon="11"><name>&x;</name></wpt></gpx>',
    ],
)
def test_document_types_and_entities_are_refused(evil):
    with pytest.raises(ImportFileError, match="document type or entities"):
        read_file(evil.encode(), filename="a.kml")


def test_an_include_is_left_as_it_is():
    include = (
        '<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" href="file:///etc/passwd" parse="text"/>'
    )
    preview = read_file(_kml(f"<name>A{include}</name>{_polygon(RING)}"), filename="a.kml")
    assert [feature.name for feature in preview.features] == ["A"]
    assert "root:" not in repr(preview)


def test_links_are_not_followed_and_said(listener):
    port, came = listener
    link = f"<NetworkLink><Link><href>http://127.0.0.1:{port}/more.kml</href></Link></NetworkLink>"
    data = KML.format(f"{link}<Placemark>{_polygon(RING)}</Placemark>").encode()
    preview = read_file(data, filename="a.kml")
    assert len(preview.features) == 1
    assert "links are not followed" in preview.notes[0]
    assert came == []


@pytest.mark.parametrize(
    ("mark", "told"),
    [
        (_polygon("11,46 11.001,46 11.001,46.001 11,46.001"), "not closed"),
        (_polygon("11,46 11.001,46 11,46"), "at least 4"),
        (_polygon("11 46 11.001 46 11.001 46.001 11 46"), "is not longitude,latitude"),
        (_polygon("eleven,46 " + RING), "not made of numbers"),
        (_polygon("NaN,46 11.001,46 11.001,46.001 NaN,46"), "not closed"),
        (_polygon(""), "at least 3"),
        ("<Polygon/>", "0 outer boundaries"),
        ("<name>only a name</name>", "no geometry"),
        ("<Model/>", "no geometry"),
        ("<MultiGeometry/>", "no parts"),
        ("<LineString><coordinates>11,46</coordinates></LineString>", "at least 2"),
    ],
)
def test_a_broken_placemark_is_named_and_the_others_are_read(mark, told):
    preview = read_file(_kml(_polygon(RING), mark, _polygon(RING)), filename="a.kml")
    assert [feature.problem is None for feature in preview.features] == [True, False, True]
    assert str(preview.features[1].problem).startswith("Feature 2 ")
    assert told in str(preview.features[1].problem)


def test_data_of_placemarks_is_kept():
    data = '<ExtendedData><Data name="Block"><value>12A</value></Data><SchemaData><SimpleData name="planted">1998</SimpleData></SchemaData></ExtendedData>'
    feature = read_file(_kml(f"{data}{_polygon(RING)}"), filename="a").features[0]
    assert feature.name == "12A"
    assert feature.properties == {"Block": "12A", "planted": "1998"}


def test_several_geometries_of_one_placemark():
    line = "<LineString><coordinates>11,46,5 11,46.001,5</coordinates></LineString>"
    track = "<gx:Track><when>2026-01-01</when><gx:coord>11 46 5</gx:coord><gx:coord>11.001 46 5</gx:coord></gx:Track>"
    mixed = f"<MultiGeometry>{_polygon(RING)}{line}</MultiGeometry>"
    twins = f"<MultiGeometry>{line}{line}</MultiGeometry>"
    preview = read_file(_kml(mixed, twins, track), filename="a")
    assert [feature.kind for feature in preview.features] == ["block", "row", "row", "row"]
    assert preview.features[2].geometry is not None
    assert preview.features[2].geometry.geom_type == "MultiLineString"


def test_gpx_points_routes_and_tracks():
    seg = '<trkseg><trkpt lat="46" lon="11"/><trkpt lat="46.001" lon="11"/></trkseg>'
    data = (
        '<gpx xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="46.0" lon="11.0"><name>T1</name></wpt>'
        '<rte><rtept lat="46" lon="11"/><rtept lat="46.002" lon="11"/></rte>'
        f'<trk>{seg}{seg}</trk><wpt lat="x" lon="11"/><wpt lon="11"/><trk/></gpx>'
    )
    preview = read_file(data.encode(), filename="a.gpx")
    assert [(feature.kind, feature.problem is None) for feature in preview.features] == [
        ("tree", True), ("block", False), ("block", False), ("row", True), ("row", True), ("block", False),
    ]  # fmt: skip


def test_a_walk_around_a_block_is_its_outline():
    # the walk stops some metres before its beginning: 0.00003 degrees of latitude are 3.3 m
    walk = [(11.0, 46.0), (11.002, 46.0), (11.002, 46.001), (11.0, 46.001), (11.0, 46.00003)]
    points = "".join(f'<trkpt lat="{lat}" lon="{lon}"/>' for lon, lat in walk)
    data = f"<gpx><trk><name>Hollow</name><trkseg>{points}</trkseg></trk></gpx>"
    feature = read_file(data.encode(), filename="a.gpx").features[0]
    assert feature.kind == "block"
    assert feature.notes == ("A line that ends 3.3 m from where it begins, closed and taken as an outline.",)


@pytest.mark.parametrize(
    "data",
    [
        b"<kml><Placemark>",
        b"<kml></gpx>",
        b"<?xml version='1.0' encoding='klingon'?><kml/>",
        b"<kml>&nbsp;</kml>",
    ],
)
def test_broken_xml_is_refused_in_a_sentence(data):
    with pytest.raises(ImportFileError):
        read_file(data, filename="a.kml")


def test_xml_nested_without_end_is_refused():
    with pytest.raises(ImportFileError, match="nested more than"):
        read_file(b"<kml>" + b"<a>" * 200_000 + b"</a>" * 200_000 + b"</kml>", filename="a.kml")


def test_the_drawing_in_a_kmz_is_found_and_pictures_are_left():
    data = zipped({"files/icon.png": b"\x89PNG", "other/x.kml": _kml(), "doc.kml": good_files()["KML"]})
    preview = read_file(data, filename="a.kmz")
    assert preview.format == "KMZ"
    assert [feature.name for feature in preview.features] == ["Hollow", "Löwenzahn", "Far side"]


def test_kml_in_utf16():
    data = '<?xml version="1.0" encoding="UTF-16"?>' + KML.format(
        f"<Placemark><name>Süd</name>{_polygon(RING)}</Placemark>"
    )
    assert read_file(data.encode("utf-16"), filename="a").features[0].name == "Süd"
