"""Strict bodies and queries: every field at fault is named, with its value and what would be allowed."""

from collections.abc import Iterator, Mapping
from typing import Any

from rest_framework import serializers
from rest_framework.fields import empty

from jobs.api.kit.errors import BadShape, plain, pointer
from jobs.api.kit.fields import Typed

SECRET = "(not shown)"


class Shape(serializers.Serializer[Any]):
    """A body or a query of known names; anything else is refused by name."""

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, Mapping) and (unknown := sorted(str(n) for n in set(data) - set(self.fields))):
            raise serializers.ValidationError({name: ["there is no such field"] for name in unknown})
        return super().to_internal_value(data)


def checked(shape: type[Shape], data: Any, *, in_body: bool) -> dict[str, Any]:
    """Return the fields of a shape as given; refuse with every field at fault named."""
    asked = shape(data=data)
    if not asked.is_valid():
        raise BadShape(
            [
                fault if in_body else {n: v for n, v in fault.items() if n != "pointer"}
                for fault in _faults(asked.errors, asked, data, ())
            ]
        )
    return dict(asked.validated_data)


def _faults(errors: Any, field: Any, value: Any, path: tuple[str, ...]) -> Iterator[dict[str, Any]]:
    if isinstance(errors, list) and any(isinstance(one, dict) for one in errors):
        errors = {str(n): one for n, one in enumerate(errors) if one}
    if isinstance(errors, Mapping):
        for name, inner in errors.items():
            if name == "non_field_errors":
                yield from _faults(inner, field, value, path)
            else:
                yield from _faults(
                    inner, _child(field, str(name)), _inside(value, str(name)), (*path, str(name))
                )
        return
    hidden = getattr(field, "write_only", False)
    shown = SECRET if hidden else None if value is empty else plain(value)
    yield {
        "detail": f"{path[-1] if path else 'body'}: {' '.join(str(one) for one in errors)}",
        "field": ".".join(path),
        "pointer": pointer(path),
        "value": shown,
        "allowed": allowed(field),
    }


def _child(field: Any, name: str) -> Any:
    if isinstance(field, serializers.Serializer):
        return field.fields.get(name, field)
    return getattr(field, "child", None)


def _inside(value: Any, name: str) -> Any:
    if isinstance(value, Mapping):
        return value.get(name, empty)
    if isinstance(value, list) and name.isdecimal() and int(name) < len(value):
        return value[int(name)]
    return empty


def allowed(field: Any) -> str:
    """Return in words what a field takes."""
    match field:
        case serializers.ListSerializer() | serializers.ListField():
            most = getattr(field, "max_length", None)
            return f"a list of up to {most}" if most else "a list"
        case serializers.Serializer():
            return "an object of " + ", ".join(field.fields)
        case serializers.DictField():
            return "an object"
        case serializers.ChoiceField():
            return ", ".join(str(choice) for choice in field.choices)
        case serializers.BooleanField():
            return "true, false"
        case serializers.IntegerField():
            return f"a whole number{_span(field.min_value, field.max_value)}"
        case serializers.DecimalField():
            return f"a decimal number of up to {field.decimal_places} decimals"
        case serializers.DateField():
            return "a date such as 2026-05-24"
        case serializers.DateTimeField():
            return "a time with its zone such as 2026-05-24T14:30:00Z"
        case serializers.EmailField():
            return "an e-mail address"
        case serializers.CharField():
            return f"text of up to {field.max_length} characters" if field.max_length else "text"
        case Typed():
            return "text or a number"
    return str(getattr(field, "takes", ""))


def _span(least: Any, most: Any) -> str:
    if least is None and most is None:
        return ""
    return f", {least} to {most}" if most is not None and least is not None else f", at least {least}"
