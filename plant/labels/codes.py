"""The code on a label: an address that any telephone's camera opens (QR code, ISO/IEC 18004)."""

import io
from functools import lru_cache

import segno

# About a seventh of the code may be covered by dirt, and its modules stay large; engineering
# judgement for a plant.
_ERROR_LEVEL = "m"


@lru_cache(maxsize=2048)
def code_svg(address: str) -> str:
    """The code as a picture of one unit a module, its quiet zone of four modules included.

    Parameters
    ----------
    address : str
        With scheme and host.

    Returns
    -------
    str
        SVG without a size of its own.

    References
    ----------
    ISO/IEC 18004:2015, 6.3.8 (quiet zone), by way of the library segno.
    """
    made = segno.make(address, error=_ERROR_LEVEL, micro=False, boost_error=False)
    drawn = io.BytesIO()
    made.save(drawn, kind="svg", border=4, omitsize=True, xmldecl=False, dark="#000", light="#fff")
    return drawn.getvalue().decode()
