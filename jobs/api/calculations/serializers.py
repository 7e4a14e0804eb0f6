"""Calculations: what each asks, and its answer."""

from typing import Any

from rest_framework import serializers

from calcs.asking.inputs import describe


class CalculationOut(serializers.Serializer):
    """A calculation: its question, its inputs, and the least that has to be given."""

    name = serializers.CharField()
    question = serializers.CharField()
    inputs = serializers.ListField(
        child=serializers.DictField(), help_text="Name, words, unit, range, choices, default; rows of rows."
    )
    example = serializers.DictField(child=serializers.CharField())


class AnswerOut(serializers.Serializer):
    """An answer; ``inputs`` and ``result`` hold a ``value`` and its ``words`` by name."""

    name = serializers.CharField()
    question = serializers.CharField()
    inputs = serializers.DictField(help_text="As understood, defaults among them.")
    result = serializers.DictField(help_text="Lengths in 1/8 µm, times in seconds, decimals as text.")
    warnings = serializers.ListField(child=serializers.CharField())
    notes = serializers.ListField(child=serializers.CharField())
    cautions = serializers.ListField(child=serializers.CharField())
    source = serializers.ListField(child=serializers.CharField())
    drawing = serializers.CharField(allow_null=True, help_text="SVG, where there is something to see.")


def asked_shape(asked: type[Any]) -> dict[str, Any]:
    """Return the body of a question as JSON Schema, from the descriptions of its inputs."""
    return _object(describe(asked))


def _object(inputs: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "type": "object",
        "properties": {one["name"]: _input(one) for one in inputs},
        "required": [one["name"] for one in inputs if one["needed"]],
        "additionalProperties": False,
    }


def _input(one: dict[str, Any]) -> dict[str, Any]:
    said = {"description": _described(one)}
    if one["rows"]:
        return {
            **said,
            "oneOf": [{"type": "array", "items": _object(one["rows"])}, {"type": ["string", "null"]}],
        }
    if one["kind"] == "many":
        typed = {"type": ["string", "number"]}
        return {**said, "oneOf": [{"type": "array", "items": typed}, {"type": ["string", "number", "null"]}]}
    if one["choices"]:
        return {**said, "type": ["string", "boolean", "null"] if one["kind"] == "yes" else ["string", "null"]}
    return {**said, "type": ["string", "number", "null"]}


def _described(one: dict[str, Any]) -> str:
    unit = f" [{one['unit']}]" if one["unit"] else ""
    default = f"; default {one['default']}" if one["default"] and one["default"] != "none" else ""
    return f"{one['says']}{unit}; {one['allowed']}{default}"
