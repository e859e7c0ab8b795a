"""How far apart two colours look, for usual and for colour-blind sight.

Sources: CIECAM02, CIE 159:2004 (as printed in Luo and Li, "CIECAM02 and its recent developments",
2013); CAM02-UCS, Luo, Cui and Li 2006, Color Research and Application 31(4); colour-blind sight,
Machado, Oliveira and Fernandes 2009, IEEE TVCG 15(6), matrices for severity 1.0; sRGB, IEC 61966-2-1;
contrast, WCAG 2.2.
"""

import math

import numpy as np

SRGB_TO_XYZ = np.array([
    [0.4124564, 0.3575761, 0.1804375],
    [0.2126729, 0.7151522, 0.0721750],
    [0.0193339, 0.1191920, 0.9503041],
])  # fmt: skip
CAT02 = np.array([[0.7328, 0.4296, -0.1624], [-0.7036, 1.6975, 0.0061], [0.0030, 0.0136, 0.9834]])
HPE = np.array([[0.38971, 0.68898, -0.07868], [-0.22981, 1.18340, 0.04641], [0.0, 0.0, 1.0]])
SIGHTS = {
    "normal": np.eye(3),
    "protan": np.array([
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ]),
    "deutan": np.array([
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ]),
    "tritan": np.array([
        [1.255528, -0.076749, -0.178779],
        [-0.078411, 0.930809, 0.147602],
        [0.004733, 0.691367, 0.303900],
    ]),
}  # fmt: skip
D65 = np.array([95.047, 100.0, 108.883])


def linear_rgb(colour: str) -> np.ndarray:
    """Return linear sRGB, 0 to 1, of a ``#RRGGBB`` colour."""
    coded = np.array([int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def contrast(one: str, other: str) -> float:
    """Return the WCAG contrast ratio of two colours, 1 to 21."""
    light, dark = sorted((float(linear_rgb(c) @ SRGB_TO_XYZ[1]) for c in (one, other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _adapted(xyz: np.ndarray, white: np.ndarray, la: float) -> tuple[np.ndarray, float]:
    k = 1 / (5 * la + 1)
    fl = 0.2 * k**4 * 5 * la + 0.1 * (1 - k**4) ** 2 * (5 * la) ** (1 / 3)
    d = 1 - math.exp((-la - 42) / 92) / 3.6
    rgb, rgb_white = CAT02 @ xyz, CAT02 @ white
    cone = HPE @ np.linalg.inv(CAT02) @ ((white[1] * d / rgb_white + 1 - d) * rgb)
    root = (fl * np.abs(cone) / 100) ** 0.42
    return np.sign(cone) * 400 * root / (27.13 + root) + 0.1, fl


def ciecam02(xyz: np.ndarray, white: np.ndarray, *, la: float, yb: float) -> dict[str, float]:
    """Return lightness J, chroma C, colourfulness M and hue h (degrees), average surround."""
    n = yb / white[1]
    nbb = 0.725 * (1 / n) ** 0.2
    (r, g, b), fl = _adapted(xyz, white, la)
    (rw, gw, bw), _ = _adapted(white, white, la)
    a, bb = r - 12 * g / 11 + b / 11, (r + g - 2 * b) / 9
    hue = math.degrees(math.atan2(bb, a)) % 360
    et = (math.cos(math.radians(hue) + 2) + 3.8) / 4
    t = 50000 / 13 * nbb * et * math.hypot(a, bb) / (r + g + 21 * b / 20)
    achromatic, achromatic_white = (
        (2 * p + q + s / 20 - 0.305) * nbb for p, q, s in ((r, g, b), (rw, gw, bw))
    )
    j = 100 * (achromatic / achromatic_white) ** (0.69 * (1.48 + math.sqrt(n)))
    c = t**0.9 * math.sqrt(j / 100) * (1.64 - 0.29**n) ** 0.73
    return {"J": j, "C": c, "M": c * fl**0.25, "h": hue}


def ucs(colour: str, sight: str) -> np.ndarray:
    """Return J', a', b' of CAM02-UCS for a colour as a kind of sight sees it, usual sRGB viewing conditions."""
    rgb = np.clip(SIGHTS[sight] @ linear_rgb(colour), 0, 1)
    seen = ciecam02(100 * SRGB_TO_XYZ @ rgb, D65, la=64 / math.pi / 5, yb=20)
    m = math.log(1 + 0.0228 * seen["M"]) / 0.0228
    hue = math.radians(seen["h"])
    return np.array([1.7 * seen["J"] / (1 + 0.007 * seen["J"]), m * math.cos(hue), m * math.sin(hue)])


def distance(one: str, other: str, sight: str) -> float:
    """Return the CAM02-UCS distance of two colours."""
    return float(np.linalg.norm(ucs(one, sight) - ucs(other, sight)))
