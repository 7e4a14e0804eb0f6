"""Route templates: a file on disk is enough; an invalid one is refused by file, stage and word."""

import pytest

from calcs.kit.errors import CalcError
from jobs.core.errors import Invalid
from jobs.domain.routes import Choices, all_routes, expand, read_route, read_text, route, what_to_do
from jobs.domain.routes.schema import HERE
from tests.shop_fixtures import ROUTES, SHORT, a_piece

GOOD = """
key = "good"
title = "Good"
[[stage]]
key = "one"
title = "One"
[[stage]]
key = "two"
title = "Two"
after = ["one"]
"""


def _gate(**limits):
    told = {"key": "mc", "title": "Moisture", "at": "start", "unit": "percent", **limits}
    return "[[stage.gates]]\n" + "".join(f'{word} = "{text}"\n' for word, text in told.items())


@pytest.mark.parametrize(
    "path", sorted([*HERE.glob("[!c]*.toml"), *ROUTES.glob("*.toml")]), ids=lambda p: p.name
)
def test_the_files_that_come_with_the_service_are_sound(path):
    assert read_route(path).stages


@pytest.mark.parametrize(
    "text, says",
    [
        (GOOD + "notes = " + "[" * 500 + "]" * 500, "file"),
        (GOOD + "notes = " + "[" * 90 + "]" * 90, "notes"),
        (GOOD + "a = " + "{a = " * 500 + "1" + "}" * 500, "file"),
        (GOOD + "notes = " + "9" * 5000, "file"),
        (GOOD + "notes = 1e400", "notes"),
        (GOOD + "notes = [nan]", "notes"),
        (GOOD + "notes = [1979-05-27]", "notes"),
        (GOOD + 'notes = ["a \\u0000"]', "notes"),
        (GOOD + 'title2 = "b"', "title2"),
        (GOOD.replace('"Good"', '"Good"\nbetween = 3'), "between"),
        (GOOD.replace('"Good"', '"Good"\nneeds = [["length"]]'), "needs"),
        (GOOD + 'passive = "yes"', "passive"),
        (GOOD + "gates = [3]", "gates"),
        (GOOD + _gate(least="--5"), "least"),
        (GOOD + _gate(least="²"), "least"),
        (GOOD + _gate(most="1.2.3"), "most"),
        ("stage = 3\n" + GOOD.split("[[stage]]")[0], "stage"),
    ],
    ids=lambda v: v[-20:],
)  # fmt: skip
def test_a_template_of_another_shape_is_refused(text, says):
    with pytest.raises(Invalid) as refused:
        read_text(text, "the template")
    assert says in refused.value.field + str(refused.value.value)
    assert refused.value.allowed and len(str(refused.value.value)) <= 200


@pytest.mark.django_db
class TestOnDisk:
    def test_a_file_added_while_running_works_without_code(self, work, settings, tmp_path):
        settings.ROUTES_DIR = tmp_path
        assert "stool" not in all_routes()
        (tmp_path / "stool.toml").write_text(
            """
            key = "stool"
            title = "Stool"
            [[stage]]
            key = "turn"
            title = "Legs turned"
            [[stage.gates]]
            key = "leg"
            at = "finish"
            unit = "length"
            title = "Leg"
            least = "1 in"
            most = "2 in"
            [[stage]]
            key = "soak"
            title = "Seat soaked"
            waits = [{ kind = "soak", title = "Soaking", duration = "90 min", latest = "3 h" }]
            [[stage]]
            key = "join"
            title = "Joined"
            after = ["turn", "soak"]
            marks = "ready"
            """
        )
        piece = work.accepted(route="stool", label="Stool")
        work.start(piece, "turn")
        work.finish(piece, "turn", measured={"leg": "1 1/2"})
        work.do(piece, "soak", "join")
        piece.commission.refresh_from_db()
        assert piece.commission.step == "ready"

    def test_a_file_of_the_shop_takes_the_place_of_ours(self, settings, tmp_path):
        (tmp_path / "mine.toml").write_text(GOOD.replace('"good"', '"free-list"'))
        settings.ROUTES_DIR = tmp_path
        assert route("free-list").title == "Good"

    def test_a_changed_file_touches_no_running_piece(self, work, settings, tmp_path):
        (tmp_path / "good.toml").write_text(GOOD)
        settings.ROUTES_DIR = tmp_path
        piece = work.accepted(route="good", label="Shelf")
        (tmp_path / "good.toml").write_text(
            GOOD.replace("Two", "Deux") + "[[stage]]\nkey='three'\ntitle='III'\n"
        )
        assert [s.spec["title"] for s in piece.stages.all()] == ["One", "Two"]
        later = a_piece(work.call(), piece.commission, route="good", label="Shelf")
        assert [s.spec["title"] for s in later.stages.all()] == ["One", "Deux", "III"]
        assert later.route_sha256 != piece.route_sha256


def stage(**words):
    return GOOD + "\n".join(f"{k} = {v}" for k, v in words.items())


def gate(rest, at="start", **words):
    return stage(**words) + f'\n[[stage.gates]]\nkey = "a"\ntitle = "A"\nat = "{at}"\n{rest}'


def waits(*rest):
    return GOOD + "".join(f'\n[[stage.waits]]\nkind = "w"\ntitle = "W"\n{r}' for r in rest)


SCUFF = '\n[between.scuff]\nkey = "scuff"\ntitle = "Scuffed"\n'
ONE_HOUR = 'duration = "1 h"'
BAD = {
    "no TOML": ("key = ", "bad.toml: file is not usable"),
    "not UTF-8": (b"key = '\xff'", "bad.toml: file is not usable"),
    "no stages": ('key = "x"\ntitle = "X"', "key, title, stage"),
    "stages of another shape": ('key = "x"\ntitle = "X"\nstage = ["one"]', "file"),
    "too long": (GOOD + "#" * 200_000, "file"),
    "two of one key": (GOOD + '[[stage]]\nkey = "one"\ntitle = "Again"', "stage.key"),
    "key of odd letters": (GOOD.replace('"two"', '"Two!"'), "stage Two!: key"),
    "long title": (GOOD.replace('"Two"', f'"{"x" * 121}"'), "stage two: title"),
    "cycle": (GOOD.replace('title = "One"', 'title = "One"\nafter = ["two"]'), "after"),
    "unknown predecessor": (GOOD.replace('["one"]', '["zero"]'), "stage two: after"),
    "later predecessor": (
        GOOD.replace('after = ["one"]', 'after = ["three"]') + '[[stage]]\nkey = "three"\ntitle = "Three"',
        "stage two: after",
    ),
    "unknown word": (stage(colour='"red"'), "stage two: words"),
    "unknown fact": (stage(only_if='"sunny"'), "stage two: only_if"),
    "unknown count": (stage(repeat='"often"'), "stage two: repeat"),
    "between what repeats only": (stage(between='"scuff"') + SCUFF, "stage two: between"),
    "then what repeats only": (stage(then='"scuff"') + SCUFF, "stage two: then"),
    "then nobody knows what": (stage(repeat='"sealing_coats"', then='"polish"') + SCUFF, "stage two: then"),
    "film of a sort": (GOOD.replace('title = "Good"', 'title = "Good"\nfilm = "thin"'), "film"),
    "unknown mark": (stage(marks='"sold"'), "stage two: marks"),
    "unknown caution": (stage(cautions='["bees"]'), "stage two: cautions"),
    "passive with a gate": (gate('unit = "yes"', passive="true"), "stage two: passive"),
    "wait without end": (waits(""), "stage two: wait"),
    "wait by unknown clock": (waits('clock = "glue.x"'), "wait clock"),
    "wait holding nobody": (waits(ONE_HOUR + '\nholds = ["zero"]'), "wait since, holds"),
    "two waits of one kind": (waits(ONE_HOUR, ONE_HOUR), "stage two: wait kind"),
    "gate of neither kind": (gate(""), "stage two: gate"),
    "gate at noon": (gate('unit = "yes"', at="noon"), "gate at"),
    "gate in furlongs": (gate('unit = "furlong"'), "gate unit"),
    "unknown rule": (gate('rule = "happy"'), "gate rule"),
    "fresh of nothing": (gate('rule = "fresh"'), "gate of"),
    "limit in words": (gate('unit = "percent"\nmost = "much"'), "stage two: most"),
    "limit that is no text": (gate('unit = "percent"\nmost = 7'), "stage two: gate: most"),
    "unknown need": (GOOD.replace('title = "Good"', 'title = "Good"\nneeds = ["luck"]'), "needs"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_what_makes_no_sense_is_refused_by_file_stage_and_word(tmp_path, name):
    text, field = BAD[name]
    path = tmp_path / "bad.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(Invalid) as refused:
        read_route(path)
    assert "bad.toml" in refused.value.detail and refused.value.allowed
    assert field in refused.value.detail


@pytest.mark.parametrize("duration", ["-1 h", "4", "soon"])
def test_a_duration_is_a_number_with_a_unit(tmp_path, duration):
    path = tmp_path / "bad.toml"
    path.write_text(waits(f'duration = "{duration}"'))
    with pytest.raises(CalcError) as refused:
        read_route(path)
    assert refused.value.field == "stage two: duration"


@pytest.mark.django_db
def test_an_unknown_route_lists_those_there_are(settings):
    settings.ROUTES_DIR = ROUTES
    from jobs.core.errors import NotFound

    with pytest.raises(NotFound) as refused:
        route("nowhere")
    assert {"edge-glued-film", "free-list", "short"} <= set(refused.value.allowed.split(", "))


@pytest.mark.django_db
class TestExpand:
    def choices(self, *facts, own=(), **counts):
        return Choices(
            facts=frozenset(facts), counts={"sealing_coats": 2, "build_coats": 2} | counts, own=own
        )

    def after(self, *facts, **more):
        return {s["key"]: s["after"] for s in expand(route("edge-glued-film"), self.choices(*facts, **more))}

    def test_what_is_left_out_hands_its_predecessors_on(self):
        assert self.after()["sand"] == ["final-flatten", "edge-profile"]
        assert self.after("stiffeners", "mark_before")["sand"] == [
            "stiffeners",
            "edge-profile",
            "mark-before",
        ]

    def test_coats_follow_one_another_with_scuffing_between(self):
        after = self.after()
        chain = ["seal-1", "scuff-seal-2", "seal-2", "scuff-build-1", "build-1", "scuff-build-2", "build-2"]
        for before, key in zip(chain, [*chain[1:], "full-cure"], strict=True):
            assert after[key] == [before]

    def test_without_build_coats_full_cure_follows_the_sealing(self):
        assert self.after(build_coats=0)["full-cure"] == ["seal-2"]

    def test_a_coats_wait_holds_the_scuffing_after_it(self):
        stages = {s["key"]: s for s in expand(route("edge-glued-film"), self.choices())}
        assert stages["seal-1"]["waits"][0]["holds"] == ["scuff-seal-2"]
        assert stages["build-2"]["waits"][0]["holds"] == [], "it holds no hands and is never started"
        assert stages["full-cure"]["waits"][0]["holds"] == ["final-check"]

    def test_an_own_list_becomes_a_chain(self):
        stages = expand(route("free-list"), self.choices(own=("Legs", "Seat")))
        assert [(s["key"], s["title"], s["after"]) for s in stages[1:3]] == [
            ("own-1", "Legs", ["survey"]), ("own-2", "Seat", ["own-1"]),
        ]  # fmt: skip

    def test_two_stages_of_one_key_are_refused(self, tmp_path):
        path = tmp_path / "twice.toml"
        path.write_text(GOOD + 'repeat = "sealing_coats"\n[[stage]]\nkey = "two-2"\ntitle = "Two, two"\n')
        with pytest.raises(Invalid, match="one key"):
            expand(read_route(path), self.choices())


@pytest.mark.django_db
def test_every_stage_of_the_short_route_can_be_done(work):
    piece = work.accepted(**SHORT)
    work.do_until(piece, "wrap")
    assert piece.stages.filter(step="done").count() == piece.stages.count() - 3


def test_every_stage_of_the_service_says_what_to_do_and_one_title_says_one_thing(db: None):
    said: dict[str, set[str]] = {}
    for each in all_routes().values():
        for one in (*each.stages, *each.between.values()):
            if not one.get("own_list"):
                said.setdefault(one["title"], set()).add(one["do"])
    assert {title: words for title, words in said.items() if len(words) > 1} == {}


def test_a_stage_laid_before_templates_said_what_to_do_says_it_too():
    assert what_to_do({"title": "Strips ripped"}) == "Rip the strips"
    assert what_to_do({"title": "Glue-up, 1 of 3 (A-C)"}) == "Glue up the top, A–C"
    assert what_to_do({"title": "Build coat on the face, 2 of 3"}) == "Coat the face, 2 of 3"
    assert what_to_do({"title": "Hinges let in"}) == "Hinges let in"
    assert what_to_do({"title": "Hinges let in", "do": "Let in the hinges"}) == "Let in the hinges"
