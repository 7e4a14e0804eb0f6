"""The description of the API (OpenAPI 3.1): how to sign in, how refusals look."""

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.openapi import AutoSchema

from jobs.api.kit.errors import MEDIA_TYPE

BASE = "/api/v1/"
WRITES = "x-writes"
"""Set to false on a request with a body that changes nothing."""
ALWAYS = {
    401: "Not signed in.", 403: "Not for this person.", 404: "No such thing.", 406: "No such form.",
    409: "The state of things does not allow it.",
}  # fmt: skip
WITH_QUERY = {422: "A value is not allowed."}
WITH_BODY = {
    400: "The body cannot be read.",
    411: "The length of the body is not announced.",
    413: "The body is too large.",
    415: "The body is not JSON.", 422: "A value is not allowed, or the key was used for another request.",
}  # fmt: skip
ANYWHERE = {
    429: "Too many at once; see Retry-After.",
    500: "Something went wrong; nothing was changed.",
    503: "Try again; see Retry-After.",
}
KEY = {
    "name": "Idempotency-Key", "in": "header", "required": False,
    "schema": {"type": "string", "maxLength": 202},
    "description": "The same key with the same request is carried out once and answered alike.",
}  # fmt: skip
CLOCK = {
    "name": "Device-Time", "in": "header", "required": False,
    "schema": {"type": "string", "format": "date-time"},
    "description": "The device's own clock, so that a skew is noticed.",
}  # fmt: skip
PROBLEM: dict[str, Any] = {
    "type": "object",
    "description": "A refusal (RFC 9457). More members may follow, such as the gates that are shut.",
    "required": ["type", "title", "status", "detail", "instance", "code", "errors"],
    "properties": {
        "type": {"type": "string", "format": "uri"}, "title": {"type": "string"},
        "status": {"type": "integer"}, "detail": {"type": "string"}, "instance": {"type": "string"},
        "code": {"type": "string"},
        "errors": {
            "type": "array",
            "items": {
                "type": "object", "required": ["detail", "field", "value", "allowed"],
                "properties": {
                    "detail": {"type": "string"}, "field": {"type": "string"},
                    "pointer": {"type": "string", "description": "JSON Pointer into the body."},
                    "value": {}, "allowed": {"type": "string"},
                },
            },
        },
    },
}  # fmt: skip


class TokenScheme(OpenApiAuthenticationExtension):
    """The token, as the description names it."""

    target_class = "jobs.api.kit.auth.TokenAuthentication"
    name = "token"

    def get_security_definition(self, auto_schema: AutoSchema) -> dict[str, str]:
        return {"type": "http", "scheme": "bearer"}


class Described(AutoSchema):
    """Operations named for their address and method."""

    def get_summary(self) -> str | None:
        return (self.get_description() or "").removesuffix(".") or None

    def get_operation_id(self) -> str:
        steps = self.path.removeprefix(BASE).strip("/").split("/")
        if steps[-1].startswith("{"):
            steps[-2:] = [steps[-1].strip("{}")]
        words = [step.replace("-", "_") for step in steps if not step.startswith("{")]
        suffix: str = self.view.operation_suffix
        return "_".join((*words, self.method.lower())) + suffix


def with_refusals(result: dict[str, Any], **kwargs: Any) -> dict[str, Any]:
    """Return the description with the refusals that every operation can meet."""
    shapes = result["components"]["schemas"]
    shapes["Problem"] = PROBLEM
    for name, shape in shapes.items():
        if name.endswith("In"):
            shape["additionalProperties"] = False
    for path in result["paths"].values():
        for method, operation in path.items():
            _describe(method, operation)
            if _asks_unit(operation, shapes):
                operation.setdefault("parameters", []).extend(_units(shapes))
    return result


def _asks_unit(operation: dict[str, Any], shapes: dict[str, Any]) -> bool:
    body = operation.get("requestBody", {}).get("content", {}).get("application/json", {}).get("schema", {})
    return "unit" in shapes.get(body.get("$ref", "").rpartition("/")[2], {}).get("properties", {})


def _units(shapes: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the parameters for the units of bare numbers: the address may carry them too."""
    asked = shapes["StageStartIn"]["properties"]
    return [
        {"name": name, "in": "query", "required": False, "schema": asked[name]}
        for name in ("unit", "temperature_unit")
    ]


def _describe(method: str, operation: dict[str, Any]) -> None:
    changes = method != "get"
    met = {**ALWAYS, **ANYWHERE, **(WITH_BODY if changes else WITH_QUERY)}
    content = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}
    for status, description in met.items():
        operation["responses"].setdefault(str(status), {"description": description, "content": content})
    if changes and operation.pop(WRITES, True):
        operation.setdefault("parameters", []).extend((KEY, CLOCK))
