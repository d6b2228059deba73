"""The viscosity index of ASTM D2270.

L and H are the viscosities at 40 degC of two reference oils with the same viscosity Y at 100
degC as the oil in question: index 0 and index 100. D2270 gives them as a table and, in its
appendix, as quadratics by range; these are the quadratics (from memory, the tests compare
them with the printed table as kept in the library chemicals).
"""

import math
from bisect import bisect_right

from .argument_checks import checked
from .refusal import Refused, positive, within
from .solve import root
from .words import _

# (Y from, L = a Y^2 + b Y + c, H = d Y^2 + e Y + f)
_RANGES = (
    (2.0, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
    (3.8, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
    (4.4, 2.5, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
    (5.0, 0.101, 16.635, -45.469, 0.04985, 9.1613, -18.557),
    (6.4, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
    (7.0, 0.01191, 21.475, -72.870, 0.79762, -0.7321, 14.610),
    (7.7, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240),
    (9.0, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810),
    (12.0, 0.7672, 10.7972, -38.180, 0.20073, 8.4658, -22.490),
    (15.0, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930),
    (18.0, 0.97256, 5.25, -0.980, 0.24504, 7.416, -16.730),
    (22.0, 0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230),
    (28.0, 0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750),
    (40.0, 0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620),
    (55.0, 0.85921, 11.1009, -83.190, 0.1713, 11.368, -76.940),
    (70.0, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
)
_STARTS = tuple(row[0] for row in _RANGES)


@checked
def reference_oils(y: float) -> tuple[float, float]:
    """(L, H) in cSt at 40 degC for ``y`` cSt at 100 degC, 2 or more.

    >>> [round(v, 2) for v in reference_oils(8.86)]
    [119.96, 69.48]
    """
    within(y, _STARTS[0], 1000, what=_("viscosity at 100 °C"), unit="cSt")
    return _reference_oils(y)


def _reference_oils(y: float) -> tuple[float, float]:
    _start, a, b, c, d, e, f = _RANGES[bisect_right(_STARTS, y) - 1]
    return a * y * y + b * y + c, d * y * y + e * y + f


@checked
def index_of(at_40: float, at_100: float) -> float:
    """Procedure A up to an index of 100, procedure B above.

    >>> round(index_of(22.83, 5.05))
    156
    """
    positive(at_40, _("viscosity at 40 °C"), "cSt")
    within(at_100, _STARTS[0], 1000, what=_("viscosity at 100 °C"), unit="cSt")
    return _index_of(at_40, at_100)


def _index_of(at_40: float, at_100: float) -> float:
    low, high = _reference_oils(at_100)
    if at_40 >= high:
        return 100 * (low - at_40) / (low - high)
    exponent = (math.log10(high) - math.log10(at_40)) / math.log10(at_100)
    return (10**exponent - 1) / 0.00715 + 100


@checked
def viscosity_at_100(at_40: float, index: float) -> float:
    """The viscosity at 100 degC that gives an oil its index: the inverse of the above.

    >>> round(viscosity_at_100(73.30, 92.43), 2)
    8.86
    """
    if at_40 <= 2.5:
        raise Refused(_("An oil this thin has no viscosity index."))
    return root(lambda y: _index_of(at_40, y) - index, 2.0, at_40 - 1e-9)
