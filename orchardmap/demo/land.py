"""The blocks of the invented farm: outline, variety, spacings and bearing of each.

Old plantings are wide, newer ones close: 6.5 x 6 m on strong stocks down to 3.3 x 1.2 m on weak ones
(densities inside what is published: 35 trees per acre for old plantings, Fruit Growers News 2007;
900 to 1,300 per acre for the closest, the same paper 2010).
"""

import math
from dataclasses import dataclass

import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from orchardmap.demo import ground
from orchardmap.model.orchard import Planting

LANE_HALF_M = 3.5  # grass left on each side of a block, so that blocks stand a lane apart
SCRAP_M2 = 1500.0  # a smaller piece cut off by a lane is not planted


@dataclass(frozen=True, slots=True)
class Plot:
    """One block as it is laid out on the ground."""

    code: str
    name: str
    field: str
    across: tuple[float, float]
    up: tuple[float, float]
    variety: str
    row_spacing_m: float
    tree_spacing_m: float
    turn_deg: int = 0
    """0: rows run with the south side, west to east; 90, 180, 270: turned clockwise."""
    headland_m: float = 6.0
    planted: int = 2004

    @property
    def is_close(self) -> bool:
        """Trees on a wire, at less than two metres."""
        return self.tree_spacing_m < 2.0


@dataclass(frozen=True, slots=True)
class LaidOut:
    """A plot with its outline (WGS 84) and the numbers that make its rows."""

    plot: Plot
    outline: Polygon | MultiPolygon
    planting: Planting


_ALL = (0.0, 1.0)

PLOTS: tuple[Plot, ...] = (
    Plot("H1", "Cold Bath", "home", (0.00, 0.19), _ALL, "Bramley's Seedling", 6.5, 6.0, 0, 7.0, 1961),
    Plot("H2", "Nan's Piece", "home", (0.19, 0.36), _ALL, "Genet Moyle", 6.0, 5.0, 180, 7.0, 1968),
    Plot("H3", "Two Gates", "home", (0.36, 0.53), _ALL, "Lord Derby", 5.5, 4.0, 0, 7.0, 1979),
    Plot("H4", "Saddler's", "home", (0.53, 0.75), (0.0, 0.49), "Ashmead's Kernel", 5.0, 3.0, 90, 6.5, 1986),
    Plot("H5", "Saddler's Back", "home", (0.53, 0.75), (0.5, 1.0), "Irish Peach", 5.0, 3.0, 270, 6.5, 1986),
    Plot("H6", "Yard Crook", "home", (0.75, 1.00), _ALL, "Blenheim Orange", 6.2, 5.0, 14, 7.0, 1965),
    Plot("W1", "Withy Wash", "wash", (0.00, 0.17), _ALL, "Howgate Wonder", 5.0, 3.5, 0, 6.5, 1982),
    Plot("W2", "Otter Wash", "wash", (0.17, 0.36), _ALL, "James Grieve", 4.5, 2.5, 180, 6.0, 1994),
    Plot("W3", "Pond Ground", "wash", (0.36, 0.64), _ALL, "Adams's Pearmain", 4.4, 2.6, 0, 6.0, 1996),
    Plot("W4", "Heron's Elbow", "wash", (0.64, 0.82), _ALL, "Worcester Pearmain", 4.2, 2.2, 0, 6.0, 1999),
    Plot("W5", "Ford Piece", "wash", (0.82, 1.00), _ALL, "Cornish Gilliflower", 4.5, 3.0, 180, 6.0, 1991),
    Plot("L1", "Long Slad", "long", (0.00, 0.18), _ALL, "Cox's Orange Pippin", 3.4, 1.6, 0, 6.0, 2012),
    Plot("L2", "Long Slad Middle", "long", (0.18, 0.35), _ALL, "Cox's Orange Pippin", 3.4, 1.6, 0, 6.0, 2012),
    Plot("L3", "Cinder Slad", "long", (0.35, 0.52), _ALL, "Egremont Russet", 3.3, 1.5, 180, 6.0, 2014),
    Plot("L4", "Tilth End", "long", (0.52, 0.76), (0.0, 0.5), "Lord Lambourne", 3.5, 1.5, 0, 6.0, 2010),
    Plot(
        "L5", "Tilth Head", "long", (0.52, 0.76), (0.5, 1.0), "Worcester Pearmain", 3.5, 1.5, 180, 6.0, 2010
    ),
    Plot("L6", "Sallow Gore", "long", (0.76, 1.00), _ALL, "James Grieve", 3.6, 1.9, 0, 6.5, 2008),
    Plot("M1", "Mill Ham", "ham", (0.00, 0.19), _ALL, "Egremont Russet", 4.0, 2.0, 0, 6.0, 2001),
    Plot("M2", "Eel Trap", "ham", (0.19, 0.41), _ALL, "Ashmead's Kernel", 4.0, 2.0, 0, 6.0, 2002),
    Plot("M3", "Mill Tail", "ham", (0.41, 0.58), _ALL, "Cox's Orange Pippin", 4.0, 1.8, 180, 6.0, 2005),
    Plot("M4", "Far Ham", "ham", (0.58, 0.78), _ALL, "Lord Lambourne", 4.2, 2.2, 0, 6.0, 1998),
    Plot("M5", "Gander Ham", "ham", (0.78, 1.00), _ALL, "Howgate Wonder", 4.5, 2.8, 180, 6.5, 1993),
    Plot("R1", "Low Ridge", "ridge", (0.00, 0.21), _ALL, "Blenheim Orange", 6.0, 5.0, 344, 7.0, 1972),
    Plot("R2", "Thorn Ridge", "ridge", (0.21, 0.39), _ALL, "Adams's Pearmain", 4.5, 2.6, 180, 6.0, 1995),
    Plot("R3", "Lark Ridge", "ridge", (0.39, 0.58), _ALL, "Worcester Pearmain", 3.5, 1.5, 0, 6.0, 2013),
    Plot("R4", "Wind Gap", "ridge", (0.58, 0.77), _ALL, "Egremont Russet", 3.3, 1.2, 0, 6.0, 2017),
    Plot("R5", "Lane Ridge", "ridge", (0.77, 1.00), _ALL, "Bramley's Seedling", 5.5, 4.0, 90, 7.0, 1984),
    Plot("B1", "Under Beacon", "beacon", (0.00, 0.18), _ALL, "James Grieve", 4.0, 2.1, 192, 6.0, 2003),
    Plot("B2", "Beacon Slope", "beacon", (0.18, 0.37), _ALL, "Lord Lambourne", 3.5, 1.6, 0, 6.0, 2011),
    Plot("B3", "Beacon Bank", "beacon", (0.37, 0.55), _ALL, "Cox's Orange Pippin", 3.4, 1.5, 0, 6.0, 2015),
    Plot("B4", "Gorse Top", "beacon", (0.55, 0.75), _ALL, "Ashmead's Kernel", 3.8, 2.1, 166, 6.0, 2006),
    Plot("B5", "Cart Road", "beacon", (0.75, 1.00), _ALL, "Lord Derby", 4.8, 3.2, 0, 6.5, 1988),
)
CURVED = "M2"


def laid_out() -> list[LaidOut]:
    """Return every block of the farm, ready to be planted, in the order of ``PLOTS``."""
    return [LaidOut(plot, ground.outline_lonlat(_outline_m(plot)), _planting(plot)) for plot in PLOTS]


def _outline_m(plot: Plot) -> Polygon | MultiPolygon:
    shape: BaseGeometry = ground.cell(plot.field, across=plot.across, up=plot.up).buffer(
        -LANE_HALF_M, join_style="mitre"
    )
    for taken in (*ground.ways(), ground.pond(), ground.yard()):
        shape = shape.difference(taken)
    pieces = [
        piece for piece in shapely.get_parts(shape) if isinstance(piece, Polygon) and piece.area > SCRAP_M2
    ]
    # the bank was walked, not drawn: a vertex where it bends, none where it runs straight
    walked = [piece.simplify(0.4) for piece in _one_side_of_stream(pieces, plot)]
    kept = [piece for piece in walked if isinstance(piece, Polygon)]
    return kept[0] if len(kept) == 1 else MultiPolygon(kept)


def _one_side_of_stream(pieces: list[Polygon], plot: Plot) -> list[Polygon]:
    """Keep the side of the stream that the field belongs to: fields were drawn right across the water."""
    stream = ground.stream()
    south = plot.field in {"wash", "ham", "home", "long"}
    kept = []
    for piece in pieces:
        middle = piece.representative_point()
        bank = shapely.line_interpolate_point(stream, shapely.line_locate_point(stream, middle))
        if (middle.y < bank.y) == south:
            kept.append(piece)
    return kept


def _planting(plot: Plot) -> Planting:
    south_west, south_east = ground.cell(plot.field, across=plot.across, up=plot.up).exterior.coords[:2]
    east_m, north_m = south_east[0] - south_west[0], south_east[1] - south_west[1]
    side_deg = math.degrees(math.atan2(east_m, north_m))
    baseline = None
    if plot.code == CURVED:
        xy_m = ground.bank(south_west[0] - 30.0, south_east[0] + 30.0, off_m=14.0)
        baseline = tuple((float(lon), float(lat)) for lon, lat in ground.as_lonlat(xy_m))
    return Planting(
        bearing_deg=round((side_deg + plot.turn_deg - ground.TURN_DEG) % 360.0, 1),
        row_spacing_m=plot.row_spacing_m,
        tree_spacing_m=plot.tree_spacing_m,
        end_offset_m=1.0 if plot.is_close else 0.0,
        first_row_offset_m=round(plot.row_spacing_m / 2 + 1.0, 2),
        headland_m=plot.headland_m,
        min_row_length_m=12.0,
        baseline=baseline,
    )
