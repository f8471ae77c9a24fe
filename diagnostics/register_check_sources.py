"""Formula and source beneath each finding of the engineering check, and what its signs mean."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics.mechanics.register_check.findings import Check

Words = str | Promise


@dataclass(frozen=True)
class Basis:
    formula: str
    source: Words
    note: Words = ""


_SAG = Basis(
    "h/a = a · q · g / (8 · T)",
    _(
        "ISO 5048, least tension for a sag limit. The limit of 2 % is common practice, no source; "
        "US Army TM 5-3820-233-12 gives 1.04 to 1.56 % and calls 1 % normal."
    ),
    _("g = 9.81 m/s². The slope is left out, which makes the sag a little too large."),
)
_RESISTANCES = _(
    "ISO 5048, main and slope resistance, as IS 11592 quotes it. The friction factor is common "
    "practice, no source; the masses of the rolls are a judgement of ours."
)
BASES: dict[Check, Basis] = {
    Check.BELT_LENGTH: Basis(
        "S · 0.999 ≤ L ≤ S · 1.001 + 2 · u",
        _(
            "Geometry: a take-up that moves by u takes up two strands. A travel of 2 % of the "
            "centre distance for fabric and 0.5 % for steel cord is common practice, no source."
        ),
        _("The path follows the register: unequal pulleys and slack strands are not in it."),
    ),
    Check.BELT_SPEED: Basis(
        "v = π · D · n / 60",
        _("Identity. Within 3 % makes no question: a judgement of ours."),
        _("The thickness of the belt, worn lagging and slip are left out."),
    ),
    Check.BELT_WIDTH: Basis(
        "300 400 500 600 650 800 1000 1200 1400 1600 1800 2000 2200 2400 2600 2800 3000 3200 mm",
        _("ISO 251, from memory; whole inches are common practice, no source."),
    ),
    Check.HEIGHTS_RISE: Basis(
        "|(h_n − h_1) − H| ≤ max(0.5 m, 0.02 · |H|)",
        _("Geometry; how far the two may differ is a judgement of ours."),
    ),
    Check.HEIGHTS_END: Basis(
        "|s_n − s_head| ≤ max(0.5 m, 0.02 · s_head)",
        _("Geometry; how far the two may differ is a judgement of ours."),
    ),
    Check.SLOPE: Basis(
        "sin δ = Δh / Δs ≤ sin 20°",
        _("Common practice, no source: 18° to 20° for most bulk materials on a plain belt."),
    ),
    Check.TROUGH_ANGLE: Basis("0° 20° 25° 30° 35° 45°", _("ISO 1537 and CEMA, from memory.")),
    Check.PULLEY_ORDER: Basis(
        "D ≤ 1.3 · D′",
        _(
            "Common practice, no source: drive and head pulley carry the most tension and are the "
            "largest, then tail and take-up, then bend and snub; one size more makes no question."
        ),
    ),
    Check.SPACING: Basis(
        "0.6 – 2.0 m · 0.15 – 1.2 m · 0.3 – 2.0 m · 1.5 – 6.0 m",
        _(
            "Common practice, no source, kept wide: troughing, impact, transition and return "
            "sets, in this order."
        ),
    ),
    Check.GAP: Basis("gap ≤ 3 · a", _("A judgement of ours; a is taken as 1 m at least.")),
    Check.TRANSITION: Basis(
        "L = k(λ) · B",
        _(
            "CEMA belt book, least distances for a belt at less than 60 % of its rated tension, "
            "read in a public data sheet that restates the table: k = 0.6, 0.9, 1.2 at 20°, 35°, "
            "45° for fabric, 1.0, 1.8, 2.2 for steel cord."
        ),
        _(
            "The register does not know how high a pulley stands: this is the distance with the "
            "pulley raised by half the trough. Level with the middle rolls, or tighter, the belt "
            "needs up to twice as much."
        ),
    ),
    Check.ROLL_SPEED: Basis(
        "n = 60 · v / (π · D)", _("Identity. The limit is common practice, no source.")
    ),
    Check.TENSION: Basis(
        "ΔT = f · g · [qR + (qB + qG) · cos δ] · ΔL ± (qB + qG) · g · ΔH",
        _RESISTANCES,
        _("Summed from the take-up round the loop; the drives pull in equal shares."),
    ),
    Check.SLIP: Basis(
        "FU = C · FH + qG · g · H;   T ≥ FU / (e^(μ·α) − 1)",
        _(
            "Euler and Eytelwein's formula, an identity; pull after ISO 5048, short form, with its "
            "length coefficient from memory. μ = 0.35 is a dry, lagged pulley (CEMA wrap factors, "
            "from memory)."
        ),
        _("A steady run at full load; starting and braking need more."),
    ),
    Check.TAKE_UP_MASS: Basis(
        "m = 2 · T / g",
        _("Statics. Within 10 % makes no question: a judgement of ours."),
        _("Friction of guides and ropes is left out."),
    ),
    Check.SAG_CARRYING: _SAG,
    Check.SAG_RETURN: _SAG,
}
SIGN_WORDS: dict[str, Words] = {
    "S": _("path, once round"),
    "u": _("travel of the take-up"),
    "n": _("turns of the pulley"),
    "D": _("diameter"),
    "v": _("belt speed"),
    "a": _("spacing of the sets"),
    "q": _("mass on a metre of belt, with the belt"),
    "T": _("tension there"),
    "T_0": _("tension of one strand at the take-up"),
    "F_U": _("pull of the drive"),
    "C": _("length coefficient"),
    "mu": _("friction of belt on pulley"),
    "alpha": _("arc of contact"),
    "f": _("friction factor of belt and rolls"),
    "q_B": _("belt, a metre"),
    "q_G": _("load, a metre"),
    "q_RO": _("carrying rolls, a metre"),
    "q_RU": _("return rolls, a metre"),
    "B": _("belt width"),
    "lambda": _("trough angle"),
    "full": _("for a pulley level with the middle rolls"),
}
_SIGNS = {"mu": "μ", "alpha": "α", "lambda": "λ", "full": "2 L"}


def sign(symbol: str) -> str:
    return _SIGNS.get(symbol, symbol.replace("_", ""))
