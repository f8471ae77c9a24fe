"""Which estimator stands behind each part of the answer, with its reference; pure.

The keys are those of the JSON document; the order is that of the document.
"""

import textwrap
from dataclasses import dataclass

_WIDTH = 78
_INDENT = "    "


@dataclass(frozen=True)
class Estimator:
    """`key` of the answer, what is estimated and how, after whom."""

    key: str
    says: str
    after: str


ESTIMATORS = (
    Estimator(
        "mcf",
        "Mean cumulative function (Nelson): mean number of events of a unit up to each age, of "
        "those still watched. Standard error robust (Lawless-Nadeau) or Poisson (--se); limits on "
        "the log scale.",
        "W. Nelson, Technometrics 37 (1995) 147-157; J. F. Lawless and C. Nadeau, Technometrics 37 "
        "(1995) 158-168.",
    ),
    Estimator(
        "laplace",
        "Laplace test for a trend, two-sided p; u above 0: events come thicker. Several units: "
        "the sum over units by its variance.",
        "NIST/SEMATECH e-Handbook 8.2.3.4; D. R. Cox and P. A. W. Lewis, The Statistical Analysis "
        "of Series of Events (1966), chapter 3.",
    ),
    Estimator(
        "military_handbook",
        "The military handbook test, chi-square with 2 df an event; p_lower is P(X <= chi2), small "
        "when events come thicker. By --failure-truncated one event less.",
        "MIL-HDBK-189 (1981); NIST/SEMATECH e-Handbook 8.2.3.4.",
    ),
    Estimator(
        "power_law",
        "Power-law process (Crow-AMSAA) by maximum likelihood, jointly for all units, and "
        "bias-corrected. Limits of the shape by chi-square, exact; by the adjusted likelihood root "
        "where ends differ. Limits of the mean time between events after the e-Handbook; by "
        "--failure-truncated Crow's exact ones. Cramer-von Mises distance with its critical value "
        "at 1 - level.",
        "L. H. Crow, in Reliability and Biometry (SIAM 1974), and Technometrics 24 (1982) 67-72; "
        "MIL-HDBK-189 (1981), appendix C; NIST/SEMATECH e-Handbook 8.4.5.2; O. E. "
        "Barndorff-Nielsen and D. R. Cox, Inference and Asymptotics (1994), chapter 6.",
    ),
    Estimator(
        "rates",
        "Events by exposure, and shrunk toward the other units: gamma-Poisson empirical Bayes, "
        "equal-tailed posterior interval; probability_worse of a rate above --factor times the "
        "median unit rate. Without a prior the pooled rate with its exact Poisson limits.",
        "D. P. Gaver and I. G. O'Muircheartaigh, Technometrics 29 (1987) 1-15; F. Garwood, "
        "Biometrika 28 (1936) 437-442.",
    ),
    Estimator(
        "prior",
        "Shape and rate of that gamma distribution by marginal likelihood (negative binomial).",
        "As for rates.",
    ),
    Estimator(
        "trend p (page only)",
        "The military handbook test of each unit by itself, two-sided, with the false discovery "
        "rate controlled over all units.",
        "Y. Benjamini and Y. Hochberg, Journal of the Royal Statistical Society B 57 (1995) "
        "289-300.",
    ),
)


def estimators_text() -> str:
    """All of them, for the help of the command."""
    lines = ["Estimators, by the key of the answer:"]
    for one in ESTIMATORS:
        lines += ["", f"  {one.key}", *_wrapped(one.says), *_wrapped(f"[{one.after}]")]
    return "\n".join(lines)


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(
        text, _WIDTH, initial_indent=_INDENT, subsequent_indent=_INDENT, break_on_hyphens=False
    )
