"""What a diagnosis named, in short: read by the thousand where whole answers are too long."""

from collections.abc import Mapping
from typing import Any

# More than anybody reads; the hit rate asks for the first three.
CAUSES_KEPT = 10


def named_in(answer: Mapping[str, Any]) -> dict[str, Any]:
    """Classes with probabilities and the first causes, each once, in the order of the answer."""
    return {
        "classes": [[one["class"], one["probability"]] for one in answer["classes"]],
        "causes": list(dict.fromkeys(one["cause"] for one in answer["ranked"]))[:CAUSES_KEPT],
    }
