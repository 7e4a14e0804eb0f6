"""The clampings of a glue-up, as a calculation found them, and their words on a route."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True, kw_only=True)
class Clamping:
    """One clamping: what it joins and makes, and whether its sub-assemblies go through the planer."""

    number: int
    of: int
    joins: tuple[str, ...]
    makes: str
    planed: bool

    @property
    def place(self) -> str:
        """Return which clamping it is, for a title: ``1 of 3 (A-C)``."""
        return f"{self.number} of {self.of} ({self.makes})"

    @property
    def kept(self) -> dict[str, Any]:
        """Return it as a stage keeps it."""
        return {**asdict(self), "joins": list(self.joins)}

    @property
    def words(self) -> str:
        return f"Joins {' + '.join(self.joins)}; makes {self.makes}."


def begins_sub_assembly(entry: Mapping[str, Any]) -> bool:
    """Return whether a stage of the template puts strips together: its notes say which."""
    return bool(entry.get("waits") and not entry.get("passive")) or "between_clampings" in entry


def laid_clampings(specs: Iterable[Mapping[str, Any]]) -> tuple[Clamping, ...]:
    """Return the clampings that the stages of a route are laid for."""
    found = {kept["number"]: kept for spec in specs if (kept := spec.get("clamping"))}
    return tuple(Clamping(**{**kept, "joins": tuple(kept["joins"])}) for _, kept in sorted(found.items()))


def clampings_of(computed: Mapping[str, Any]) -> tuple[Clamping, ...]:
    """Return the clampings in the stored figures of a piece; none where there is one or no glue-up."""
    kept = computed.get("gluing", {})
    stages = (kept.get("result") or {}).get("stages", [])
    if len(stages) < 2:
        return ()
    planer = kept["inputs"].get("planer_len")
    widths = {stage["makes"]: stage["width_len"] for stage in stages}
    return tuple(
        Clamping(
            number=n,
            of=len(stages),
            joins=tuple(stage["joins"]),
            makes=stage["makes"],
            planed=planer is not None and all(widths[j] <= planer for j in stage["joins"] if j in widths),
        )
        for n, stage in enumerate(stages, 1)
    )
