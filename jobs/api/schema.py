"""What the schema says of every operation, beside what its view says."""

from http import HTTPStatus
from typing import Any

from .serializers.kinds import MOST_ACTS

FAULT = "Refusal"
REFUSALS = {
    HTTPStatus.UNAUTHORIZED: "nobody is signed in",
    HTTPStatus.FORBIDDEN: "not for this role, or without the token of a page",
}
WITH_PATH = {HTTPStatus.NOT_FOUND: "there is no such thing, or it is not the caller's"}
WITH_BODY = {
    HTTPStatus.BAD_REQUEST: "the body could not be read",
    HTTPStatus.UNSUPPORTED_MEDIA_TYPE: "the body is no JSON",
}


def refusals_add(result: dict[str, Any], **_generator: Any) -> dict[str, Any]:
    """A hook of drf-spectacular, whose schema otherwise knows only what went well."""
    schemas = result["components"]["schemas"]
    schemas[FAULT] = {
        "type": "object",
        "description": "Why it was refused, in words: under `error` or `detail`, or by field.",
        "additionalProperties": {},
    }
    schemas["ActsIn"]["properties"]["acts"] |= {"minItems": 1, "maxItems": MOST_ACTS}
    for path, operations in result["paths"].items():
        for operation in operations.values():
            refusals = REFUSALS | (WITH_PATH if "{" in path else {})
            if "requestBody" in operation:
                refusals |= WITH_BODY
            for status, words in refusals.items():
                operation["responses"].setdefault(str(int(status)), _refusal(words))
    return result


def _refusal(words: str) -> dict[str, Any]:
    schema = {"$ref": f"#/components/schemas/{FAULT}"}
    return {"description": words, "content": {"application/json": {"schema": schema}}}
