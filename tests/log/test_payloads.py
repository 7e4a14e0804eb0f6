"""What an event says has to fit its kind: when it is appended, when it is verified, when it is imported."""

import ast
import json
import shutil
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from uuid import UUID

import pytest
from django.conf import settings

from jobs.core.canonical_json import dumps
from jobs.core.errors import LogBroken
from jobs.core.typed_json import ABSENT, Absence, Json, KeptText, Misfit, PrivateRef, reader
from jobs.domain.reminders.pending import skip_past_due
from jobs.log.commands import command, event_hash, verify_log
from jobs.log.projections.kinds import KINDS, Payload, event_kind, payload_of
from jobs.log.projectors import Turn, projects
from jobs.log.transfer import import_from
from jobs.models import Event
from tests.log.exported import sign
from tests.log.sql import set_column
from tests.log.test_old_logs import FIRST, LATER
from tests.shop_fixtures import a_call, a_client, a_commission, a_price

TEXT = {"private": "d8e3d38f-852c-4e1b-8b6e-6d7ee4e113c8", "sha256": "0d" * 32}


@dataclass(frozen=True, kw_only=True)
class Line:
    amount: Decimal


@dataclass(frozen=True, kw_only=True)
class Everything:
    text: str
    count: int
    yes: bool
    amount: Decimal
    day: date
    at: datetime
    private: PrivateRef
    kept: KeptText
    line: Line
    lines: list[Line]
    by_name: dict[str, Decimal]
    free: Json
    maybe: int | None
    left_out: int | None | Absence = ABSENT


STORED = {
    "text": "oak", "count": 3, "yes": True, "amount": "12.50", "day": "2026-03-02",
    "at": "2026-03-02T12:00:01.000000Z", "private": TEXT, "kept": TEXT, "line": {"amount": "1"},
    "lines": [{"amount": "1"}, {"amount": "-2.5"}], "by_name": {"a": "1"}, "free": {"b": [1]}, "maybe": None,
}  # fmt: skip


class TestReading:
    def test_each_type_is_read(self):
        assert reader(Everything)(STORED) == Everything(
            text="oak", count=3, yes=True, amount=Decimal("12.50"), day=date(2026, 3, 2),
            at=datetime(2026, 3, 2, 12, 0, 1, tzinfo=UTC), private=PrivateRef(UUID(TEXT["private"])),
            kept=KeptText(TEXT), line=Line(amount=Decimal(1)),
            lines=[Line(amount=Decimal(1)), Line(amount=Decimal("-2.5"))], by_name={"a": Decimal(1)},
            free={"b": [1]}, maybe=None,
        )  # fmt: skip

    def test_what_may_be_missing_is_read_where_it_is_there(self):
        assert reader(Everything)({**STORED, "left_out": None}).left_out is None
        assert reader(Everything)({**STORED, "left_out": 2}).left_out == 2

    @pytest.mark.parametrize(
        "member, value, where",
        [
            ("text", 3, "text"),
            ("text", None, "text"),
            ("count", "3", "count"),
            ("count", True, "count"),
            ("yes", 1, "yes"),
            ("amount", 12, "amount"),
            ("amount", "1e3", "amount"),
            ("amount", "NaN", "amount"),
            ("amount", "1,5", "amount"),
            ("day", "2026-02-30", "day"),
            ("day", "2026-03-02T12:00:01.000000Z", "day"),
            ("at", "2026-03-02", "at"),
            ("at", "2026-03-02T12:00:01.000000", "at"),
            ("private", TEXT["private"], "private"),
            ("private", {"private": "no id", "sha256": TEXT["sha256"]}, "private"),
            ("private", {**TEXT, "text": "Orla"}, "private"),
            ("kept", "Orla", "kept"),
            ("line", [], "line"),
            ("line", {}, "line.amount"),
            ("line", {"amount": "1", "tax": "0"}, "line.tax"),
            ("lines", {"amount": "1"}, "lines"),
            ("lines", [{"amount": "1"}, {"amount": 1}], "lines[1].amount"),
            ("by_name", {"a": "x"}, "by_name.a"),
            ("free", "x", "free"),
            ("maybe", "3", "maybe"),
            ("left_out", "3", "left_out"),
            ("unheard", 1, "unheard"),
        ],
    )
    def test_another_type_is_refused_and_its_place_named(self, member, value, where):
        with pytest.raises(Misfit) as refused:
            reader(Everything)({**STORED, member: value})
        assert refused.value.member == where and refused.value.allowed


class TestClasses:
    @pytest.mark.parametrize("left", ["project", "sentence"])
    def test_a_kind_without_its_projection_or_sentence_is_refused_at_once(self, left):
        methods = {"project": lambda self, event: None, "sentence": lambda self, tell: ["Moved"]}
        form = type("BenchMoved", (Payload,), {n: m for n, m in methods.items() if n != left})
        with pytest.raises(TypeError, match=f"BenchMoved has no {left}"):
            event_kind("bench_moved")(form)

    def test_two_classes_of_one_kind_are_refused(self):
        form = type("Again", (Payload,), {"project": lambda *a: None, "sentence": lambda *a: [""]})
        with pytest.raises(TypeError, match="board_cut is BoardCut already"):
            event_kind("board_cut")(form)

    def test_what_is_read_once_is_read_again_after_events_of_known_kinds(self):
        trees = (ast.parse(path.read_text("utf-8")) for path in (settings.BASE_DIR / "jobs").rglob("*.py"))
        calls = (node for tree in trees for node in ast.walk(tree) if isinstance(node, ast.Call))
        once = [call for call in calls if getattr(call.func, "id", "") == "read_once"]
        named = {each.value for call in once for each in call.args if isinstance(each, ast.Constant)}
        assert named and not named - KINDS.keys()

    def test_a_projector_of_an_unknown_kind_is_refused(self):
        with pytest.raises(LookupError, match="board_split"):
            projects(Turn.REMINDERS, "board_cut", "board_split")


@command
def append(tx, *, kind, stream, data):
    tx.append(kind, stream, data)


@pytest.mark.django_db
class TestAppended:
    @pytest.mark.parametrize(
        "data, says",
        [
            (
                {"commission": "2026-001", "words": "Orla"},
                "words is 'Orla'; allowed: a private text",
            ),
            ({"commission": "2026-001"}, "words is None; allowed: a member that is there"),
            ({"commission": 1, "words": TEXT}, "commission is 1; allowed: text"),
            ({"commission": "2026-001", "words": TEXT, "by": "mail"}, "by is 'mail'; allowed: no member but"),
        ],
    )
    def test_what_does_not_fit_is_refused_and_nothing_is_written(self, data, says):
        a_commission(a_call("shop"), a_client(a_call("shop")))
        before = list(Event.objects.values())
        with pytest.raises(LogBroken) as refused:
            append(a_call("shop"), kind="client_asked", stream="commission:2026-001", data=data)
        assert f"event {len(before) + 1} (client_asked): {says}" in str(refused.value)
        assert list(Event.objects.values()) == before

    def test_a_kind_nobody_knows_is_refused(self):
        with pytest.raises(LogBroken, match="bench_moved"):
            append(a_call("shop"), kind="bench_moved", stream="shop", data={})


@pytest.mark.django_db
def test_a_stored_event_that_does_not_fit_does_not_verify():
    a_price(a_call("shop"), a_commission(a_call("shop"), a_client(a_call("shop"))))
    last = Event.objects.last()
    lines = [{**line, "quantity": 2} for line in last.data["lines"]]
    rewrite(last, {**last.data, "lines": lines})
    with pytest.raises(
        LogBroken, match=r"event 3 \(price_set\): lines\[0\]\.quantity is 2; allowed: a plain"
    ):
        verify_log()


def rewrite(event, data):
    """Change what the last event says, with a hash that fits."""
    event.body = dumps(data)
    set_column(Event, event.seq, "body", event.body)
    set_column(Event, event.seq, "hash", event_hash(event))


@pytest.mark.django_db
def test_an_event_of_a_later_version_is_refused():
    a_client(a_call("shop"))
    event = Event.objects.get()
    event.version = 3
    with pytest.raises(LogBroken, match=r"event 1 \(client_added\) is of version 3, which is not known"):
        payload_of(event)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "change, says",
    [
        (lambda data: {**data, "surplus": 1}, "surplus is 1; allowed: no member but"),
        (lambda data: {**data, "name": "Mirek"}, "name is 'Mirek'; allowed: a private text"),
        (lambda data: {k: v for k, v in data.items() if k != "name"}, "name is None; allowed: a member"),
    ],
    ids=["a member more", "of another type", "a member less"],
)
def test_an_export_with_an_event_that_does_not_fit_is_not_imported(tmp_path, settings, change, says):
    settings.FILES_DIR = tmp_path / "files"
    settings.FILES_DIR.mkdir()
    folder = shutil.copytree(FIRST, tmp_path / "exported")
    lines = (folder / "log.jsonl").read_text("utf-8").splitlines()
    row = json.loads(lines[-1])
    row["body"] = dumps(change(json.loads(row["body"])))
    times = {name: datetime.fromisoformat(row[name]) for name in ("occurred_at", "recorded_at")}
    row["hash"] = event_hash(Event(**row | times | {"command_id": UUID(row["command_id"])}))
    (folder / "log.jsonl").write_text("\n".join([*lines[:-1], dumps(row)]) + "\n", "utf-8")
    trailer = json.loads((folder / "trailer.json").read_text("utf-8"))
    (folder / "trailer.json").write_text(dumps(trailer | {"head_hash": row["hash"]}), "utf-8")
    sign(folder)
    with pytest.raises(LogBroken) as refused:
        import_from(folder, now=LATER, settle=skip_past_due)
    assert f"event 148 (client_added): {says}" in str(refused.value)
    assert not Event.objects.exists()
