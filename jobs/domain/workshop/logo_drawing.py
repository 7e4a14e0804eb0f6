"""A logo drawn as SVG, read strictly: nothing in it runs, reads a file, needs a font or draws without end.

Shapes, gradients and clips come through with their sizes and colors; styles are written to the shapes they
are for. What editors leave for themselves is dropped. Anything else that would be drawn is refused by name.
"""

import math
import re
from collections.abc import Iterator
from functools import cache
from typing import Any

from jobs.core.errors import Invalid

SVG, XLINK = "http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"
SHAPES = {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "use"}
ELEMENTS = SHAPES | {"svg", "g", "defs", "linearGradient", "radialGradient", "stop", "clipPath"}
DROPPED = {"title", "desc", "metadata", "style"}
"""Words and notes; a style is written to the shapes that it is for."""
STYLED = {
    "fill", "fill-opacity", "fill-rule", "stroke", "stroke-width", "stroke-opacity", "stroke-linecap",
    "stroke-linejoin", "stroke-miterlimit", "stroke-dasharray", "stroke-dashoffset", "opacity", "color",
    "clip-path", "clip-rule", "stop-color", "stop-opacity", "display", "visibility",
}  # fmt: skip
PLACED = {
    "d", "points", "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "rx", "ry", "fx", "fy", "width",
    "height", "offset", "transform", "gradientTransform", "gradientUnits", "spreadMethod", "clipPathUnits",
}  # fmt: skip
PLAIN = re.compile(r"[\w\s.,+\-()%]*", re.ASCII)
HERE = re.compile(r"#[\w.\-]+")
SELECTOR = re.compile(r"([.#]?)([\w\-]+)")
INSTEAD = {
    "text": "letters turned into paths",
    "tspan": "letters turned into paths",
    "image": "the picture itself, as a PNG",
}
MOST_BYTES = 512 * 1024
MOST_DRAWN = 5000
"""Shapes, each as often as it is drawn."""
DEEPEST = 40
WIDEST = 100_000


def cleaned(raw: bytes, *, field: str) -> bytes:
    """Return the drawing with nothing in it but what is drawn; refuse what a logo must not hold."""
    from lxml import etree

    if len(raw) > MOST_BYTES:
        size = f"{len(raw)} bytes"
        raise Invalid(
            "this drawing is too large", field=field, value=size, allowed=f"up to {MOST_BYTES} bytes"
        )
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False)
    try:
        root = etree.fromstring(raw, parser)
    except (etree.XMLSyntaxError, ValueError) as broken:
        allowed = "an SVG drawing"
        raise Invalid(
            "this drawing cannot be read", field=field, value=str(broken)[:80], allowed=allowed
        ) from broken
    declared = root.getroottree().docinfo.internalDTD
    if declared is not None and list(declared.iterentities()):
        raise _refused(field, "<!ENTITY>")
    if root.tag != f"{{{SVG}}}svg":
        raise _refused(field, f"<{etree.QName(root).localname}>", "an SVG drawing")
    made = _Reading(field, root).element(root, 0)
    width, height = _size(root, field)
    view = root.get("viewBox") or f"0 0 {width:g} {height:g}"
    made.attrib.update({"viewBox": view, "width": f"{width:g}", "height": f"{height:g}"})
    _refuse_endless(made, field)
    return bytes(etree.tostring(made, encoding="utf-8"))


class _Reading:
    """One drawing being read: its rules of style, and the copy of what is allowed."""

    def __init__(self, field: str, root: Any) -> None:
        self.field = field
        sheets = ["".join(sheet.itertext()) for sheet in root.iter(f"{{{SVG}}}style")]
        self.rules = [rule for sheet in sheets for rule in _rules(sheet, field)]

    def element(self, found: Any, depth: int) -> Any:
        """Return the copy of an element and of what is in it."""
        from lxml import etree

        name = etree.QName(found).localname
        if name not in ELEMENTS or (name == "svg" and depth):
            raise _refused(self.field, f"<{name}>", INSTEAD.get(name, ""))
        if depth > DEEPEST:
            raise _too_much(self.field, f"{depth} groups in each other", f"up to {DEEPEST}")
        made = etree.Element(f"{{{SVG}}}{name}", nsmap={None: SVG})
        style = self._styles(name, found)
        for key, value in found.attrib.items():
            self._copy(made, str(key), value, style)
        style |= _declared(found.get("style", ""), self.field)
        if style:
            made.set("style", ";".join(f"{key}:{value}" for key, value in style.items()))
        for child in found:
            if not isinstance(child.tag, str):
                if isinstance(child, etree._Entity):
                    raise _refused(self.field, "<!ENTITY>")
                continue
            inner = etree.QName(child)
            if inner.namespace == SVG and inner.localname not in DROPPED:
                made.append(self.element(child, depth + 1))
        return made

    def _copy(self, made: Any, key: str, value: str, style: dict[str, str]) -> None:
        """Copy an attribute that is drawn; refuse one that runs or points outside."""
        if key.lower().startswith("on"):
            raise _refused(self.field, f"{key}=")
        if key in ("href", f"{{{XLINK}}}href"):
            if not HERE.fullmatch(value.strip()):
                raise _refused(self.field, f"href={value[:40]}", "#name of a part of the drawing")
            made.set("href", value.strip())
        elif key in STYLED and key not in style:
            made.set(key, _harmless(value, self.field))
        elif key in PLACED:
            if not PLAIN.fullmatch(value):
                raise _refused(self.field, f"{key}={value[:40]}", "figures and names")
            made.set(key, value)
        elif key == "id":
            made.set(key, value)

    def _styles(self, name: str, found: Any) -> dict[str, str]:
        """Return what the rules of style say of an element, the nearer ones last."""
        classes = found.get("class", "").split()
        merged: dict[str, str] = {}
        for kind in ("", ".", "#"):
            for rule_kind, wanted, declared in self.rules:
                held = {"": [name], ".": classes, "#": [found.get("id")]}[kind]
                if rule_kind == kind and wanted in held:
                    merged |= declared
        return merged


def _rules(sheet: str, field: str) -> Iterator[tuple[str, str, dict[str, str]]]:
    """Yield the rules of a style sheet: by element, ``.class`` or ``#id``."""
    import tinycss2

    for rule in tinycss2.parse_stylesheet(sheet, skip_comments=True, skip_whitespace=True):
        if rule.type != "qualified-rule":
            raise _refused(field, f"@{getattr(rule, 'at_keyword', 'rule')}")
        declared = _declared(tinycss2.serialize(rule.content), field)
        for selector in tinycss2.serialize(rule.prelude).split(","):
            simple = SELECTOR.fullmatch(selector.strip())
            if simple is None:
                raise _refused(field, selector.strip()[:40], "styles by element, .class or #id")
            yield simple[1], simple[2], declared


def _declared(text: str, field: str) -> dict[str, str]:
    """Return the declarations of a style that are drawn."""
    import tinycss2

    found = {}
    for one in tinycss2.parse_blocks_contents(text, skip_comments=True, skip_whitespace=True):
        if one.type == "declaration" and one.lower_name in STYLED:
            found[one.lower_name] = _harmless(tinycss2.serialize(one.value).strip(), field)
        elif one.type == "declaration":
            _harmless(tinycss2.serialize(one.value), field)
        else:
            raise _refused(field, text[:40], "a style of names and values")
    return found


def _harmless(value: str, field: str) -> str:
    """Return a value of a style; refuse one that points outside the drawing."""
    import tinycss2

    for token in tinycss2.parse_component_value_list(value):
        address = token.value if token.type == "url" else ""
        if token.type == "function" and token.lower_name not in ("rgb", "rgba", "hsl", "hsla"):
            address = tinycss2.serialize(token.arguments).strip("\"' ") if token.lower_name == "url" else "()"
        if address and not HERE.fullmatch(address):
            raise _refused(field, value[:40], "colors, figures and #name of a part of the drawing")
        if token.type in ("error", "{} block", "[] block"):
            raise _refused(field, value[:40], "colors and figures")
    return value


def _size(root: Any, field: str) -> tuple[float, float]:
    """Return width and height of the drawing, by its view box, else by its own sizes."""
    box = root.get("viewBox", "").replace(",", " ").split()
    told = box[2:] if len(box) == 4 else [root.get(name, "").rstrip("ptxmin") for name in ("width", "height")]
    try:
        width, height = (float(each) for each in told)
        _ = [float(each) for each in box]
    except ValueError:
        width = height = 0.0
    if not (0 < width <= WIDEST and 0 < height <= WIDEST and math.isfinite(width + height)):
        raise Invalid(
            "the size of this drawing is not known", field=field, value=root.get("viewBox", "")[:40],
            allowed=f"a viewBox of four figures, width and height up to {WIDEST}",
        )  # fmt: skip
    return width, height


def _refuse_endless(drawing: Any, field: str) -> None:
    """Refuse parts that are missing or hold themselves, and more shapes than a page should take."""
    by_id = {each.get("id"): each for each in drawing.iter() if each.get("id")}

    def refs(one: Any) -> Iterator[str]:
        text = " ".join(value for key, value in one.attrib.items() if key != "id")
        yield from re.findall(r"url\(\s*[\"']?#([\w.\-]+)", text)
        if one.get("href"):
            yield one.get("href")[1:]

    @cache
    def drawn(one: Any, depth: int) -> int:
        if depth > DEEPEST:
            raise _too_much(field, "parts that hold each other", f"up to {DEEPEST} in each other")
        count = 1 + sum(drawn(child, depth + 1) for child in one)
        for ref in refs(one):
            if ref not in by_id:
                raise _refused(field, f"#{ref}", "parts that are in the drawing")
            count += drawn(by_id[ref], depth + 1)
        return count

    if (count := drawn(drawing, 0)) > MOST_DRAWN:
        raise _too_much(field, f"{count} shapes", f"up to {MOST_DRAWN}")
    if not any(each.tag.rpartition("}")[2] in SHAPES for each in drawing.iter()):
        raise Invalid("this drawing is empty", field=field, value="no shape", allowed="a drawing with shapes")


def _refused(field: str, what: str, allowed: str = "") -> Invalid:
    usual = "shapes, gradients and clips, with their colors and sizes"
    return Invalid(f"{what} must not be in a logo", field=field, value=what, allowed=allowed or usual)


def _too_much(field: str, what: str, allowed: str) -> Invalid:
    return Invalid("this drawing is too much to draw", field=field, value=what, allowed=allowed)
