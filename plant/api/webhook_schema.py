"""What webhooks send, in the description of the API: one entry of `webhooks` for each change feed.

Made from what the feeds' own answers are described as, so that the two cannot differ.
"""

from typing import Any

from plant.webhooks import backoff

# What each sending carries, as the Standard Webhooks specification names it.
_HEADERS: tuple[dict[str, Any], ...] = (
    {
        "name": "webhook-id",
        "description": "Of this message, the same each time it is sent: take each once.",
        "schema": {"type": "string"},
        "example": "7f5b1c0e-4a7e-4b53-9a54-2f0d2c7c5a10",
    },
    {
        "name": "webhook-timestamp",
        "description": "When it was sent, in seconds since 1970 (UTC). Refuse what is minutes old.",
        "schema": {"type": "string", "pattern": "^[0-9]+$"},
        "example": "1795000000",
    },
    {
        "name": "webhook-signature",
        "description": (
            "`v1,` and the HMAC-SHA256 over id, timestamp and the body as it came, joined by full "
            "stops, in Base64. While secrets are changed there are several with spaces between: "
            "one that fits is enough."
        ),
        "schema": {"type": "string"},
        "example": "v1,K5oZfzN95Z9UVu1EsfQmfVNQhnkZ2pj9o9NDN/H/pI4=",
    },
)
_RESPONSES = {
    "2XX": {"description": "Taken. Answer within 10 seconds and work on it afterwards."},
    "410": {"description": "Gone for good: nothing more is sent until a person takes it up again."},
    "429": {"description": "Busy; `Retry-After`, up to an hour, says when to try again."},
    "503": {"description": "Busy; `Retry-After`, up to an hour, says when to try again."},
    "default": {
        "description": (
            f"Not taken. It is tried again {backoff.MOST_TRIES - 1} times within a day, then set "
            "aside for a person; later changes of the same row wait behind it."
        )
    },
}
_FEED = "/changes"


def webhooks_described(result: dict[str, Any], **_generator_and_request: Any) -> dict[str, Any]:
    """Add `webhooks`: a key for each feed, named as its resource is in addresses."""
    described = {
        path.removesuffix(_FEED).rpartition("/")[2]: {"post": _sent(methods["get"], result)}
        for path, methods in result["paths"].items()
        if path.endswith(_FEED)
    }
    return result | {"webhooks": described}


def _sent(reading: dict[str, Any], result: dict[str, Any]) -> dict[str, Any]:
    """`reading` is the operation that asks the feed."""
    answer = reading["responses"]["200"]["content"]["application/json"]
    name = answer["schema"]["$ref"].rpartition("/")[2]
    entry = result["components"]["schemas"][name]["properties"]["results"]["items"]
    content: dict[str, Any] = {"schema": entry}
    examples = {
        name: one | {"value": one["value"]["results"][0]}
        for name, one in answer.get("examples", {}).items()
        if one.get("value", {}).get("results")
    }
    if examples:
        content["examples"] = examples
    return {
        "operationId": reading["operationId"] + "_sent",
        "summary": reading["summary"].partition(",")[0] + ", sent as it happens",
        "description": (
            "Sent to an address that an administrator entered, signed after Standard Webhooks. The "
            "body is one change as the feed tells it: `of` says of what, `kind` what happened. At "
            "least once, and of one row in the order of its changes."
        ),
        "tags": reading["tags"],
        "security": [],
        "parameters": [{"in": "header", "required": True, **one} for one in _HEADERS],
        "requestBody": {"required": True, "content": {"application/json": content}},
        "responses": _RESPONSES,
    }
