"""Python, the command line and the API call one set of functions and give the same figures."""

import json
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from calcs.asking.field_types import Habit
from calcs.catalogue import CALCULATIONS, run
from jobs.models import Event
from tests.api.client import Api, description, refused

BASE = Path(__file__).resolve().parents[3]
EXAMPLES = {name: one.example for name, one in CALCULATIONS.items()}
NAMES = set(CALCULATIONS)


def typed(name: str, *more: str) -> str:
    out = StringIO()
    call_command("calc", name, *(f"{n}={v}" for n, v in EXAMPLES[name].items()), *more, stdout=out)
    return out.getvalue()


@pytest.mark.parametrize("name", sorted(NAMES))
def test_all_doors_give_the_same_figures(name: str, api: Api):
    before = Event.objects.count()
    python = json.loads(json.dumps(vars(run(name, EXAMPLES[name], Habit()))))
    answer = api.post(f"calcs/{name}/", dict(EXAMPLES[name]))
    assert answer.status_code == 200, answer.data
    assert answer.data == python == json.loads(typed(name, "--json"))
    assert python["source"] and all(figure["words"] != "" for figure in python["result"].values())
    assert Event.objects.count() == before
    shown = typed(name)
    assert python["question"] in shown and f"Source: {python['source'][0]}" in shown


def test_numbers_of_json_are_read_like_text(api: Api):
    typed_in = api.post(
        "calcs/weight/", {"length": 60, "width": 32.5, "thickness": "1 1/2", "species": "oak"}
    )
    refused(typed_in, 422, "unknown", "species")
    sizes = {"length": 60, "width": 32.5, "thickness": "1 1/2", "species": "red oak"}
    texts = {name: str(value) for name, value in sizes.items()}
    assert api.post("calcs/weight/", sizes).data == api.post("calcs/weight/", texts).data


def test_rows_are_objects_or_text(api: Api):
    doors = {"objects": [{"width": "30", "height": "78"}], "text": "30, 78"}
    found = [
        api.post("calcs/access/", {**EXAMPLES["access"], "doors": each}).data["result"]
        for each in doors.values()
    ]
    assert found[0] == found[1]
    wrong = api.post("calcs/access/", {**EXAMPLES["access"], "doors": [{"width": "30"}]})
    error = refused(wrong, 422, "unreadable", "doors[1].height")
    assert error["pointer"] == "#/doors/0/height"


# A bare number is in the person's units, or in those of the address; 60 in are 1524 mm, 68 °F are 20 °C.
def test_a_bare_number_is_in_the_persons_units(api: Api, owner):
    asked = {"width": "813", "length": "1524"}
    owner.unit = "mm"
    owner.save()
    inches = api.post("calcs/layout/?unit=in", {"width": "32", "length": "60"}).data["inputs"]
    millimetres = api.post("calcs/layout/", asked).data["inputs"]
    assert inches["length"]["value"] == millimetres["length"]["value"] == 60 * 203200
    warm = api.post("calcs/emc/?temperature_unit=C", {"temp": "20", "rh_pct": "45"}).data["inputs"]
    assert warm["temp"] == {"value": "20.00", "words": "68 °F (20 °C)"}
    command = StringIO()
    call_command("calc", "layout", "--units", "metric", "width=813", "length=1524", "--json", stdout=command)
    assert json.loads(command.getvalue())["inputs"] == millimetres


def test_the_list_tells_inputs_ranges_and_defaults(api: Api, maker_api: Api):
    told = {one["name"]: one for one in api.get("calcs/").data}
    assert set(told) == NAMES
    length = next(one for one in told["weight"]["inputs"] if one["name"] == "length")
    assert length["needed"] and length["unit"] == "in or mm" and "480" in length["allowed"]
    out = StringIO()
    call_command("calc", "--list", "--json", stdout=out)
    assert json.loads(out.getvalue()) == list(told.values())
    call_command("calc", "--list", stdout=out)
    assert all(f"\n{name}: " in f"\n{out.getvalue()}" for name in NAMES)
    assert {one["name"] for one in maker_api.get("calcs/").data} == NAMES - {"costing"}


def test_the_description_tells_every_input():
    for name, calculation in CALCULATIONS.items():
        operation = description()["paths"][f"/api/v1/calcs/{name}/"]["post"]
        shape = operation["requestBody"]["content"]["application/json"]["schema"]
        assert operation["summary"] == calculation.question
        assert set(EXAMPLES[name]) <= set(shape["properties"])
        assert set(shape["required"]) <= set(EXAMPLES[name])
        headers = {one["name"] for one in operation["parameters"]}
        assert "unit" in headers and "Idempotency-Key" not in headers  # nothing is written


def test_money_is_the_owners(maker_api: Api):
    refused(maker_api.post("calcs/costing/", dict(EXAMPLES["costing"])), 403, "forbidden")
    assert maker_api.post("calcs/weight/", dict(EXAMPLES["weight"])).status_code == 200


def test_an_unknown_name_gets_the_nearest(api: Api):
    assert refused(api.post("calcs/lumbr/", {}), 404, "not-found", "name")["allowed"] == "lumber"
    with pytest.raises(CommandError, match="did you mean: lumber"):
        call_command("calc", "lumbr")
    error = refused(api.post("calcs/emc/", {"tempp": "70"}), 422, "unknown", "tempp")
    assert error["allowed"] == "temp"
    with pytest.raises(CommandError, match="did you mean: temp"):
        call_command("calc", "emc", "tempp=70")


@pytest.mark.parametrize("body", [[], "text", 7, None, [{"length": "60"}]])
def test_a_body_that_is_no_object_is_refused(api: Api, body):
    answer = api.ask("POST", "calcs/weight/", raw=json.dumps(body).encode())
    assert answer.status_code == 422, answer.data


def test_a_refusal_names_input_value_and_range(api: Api, capsys):
    error = refused(api.post("calcs/emc/", {"rh_pct": "101"}), 422, "out-of-range", "rh_pct")
    assert (error["value"], error["allowed"], error["pointer"]) == ("101", "5 to 95 %", "#/rh_pct")
    with pytest.raises(CommandError, match="rh_pct 101 is out of range: 5 to 95 %"):
        call_command("calc", "emc", "rh_pct=101")
    with pytest.raises(SystemExit) as left:
        call_command("calc", "emc", "rh_pct=101", "--json")
    assert left.value.code == 1
    told = json.loads(capsys.readouterr().err)
    assert (told["field"], told["value"], told["allowed"]) == ("rh_pct", "101", "5 to 95 %")


@pytest.mark.parametrize("words, why", [
    (["emc", "rh_pct"], "no input=value"),
    (["emc", "rh_pct=40", "rh_pct=50"], "stands there twice"),
    ([], "which calculation"),
    (["emc", "rh_pct=40", "--drawing", "/nowhere/x.svg"], "has no drawing"),
    (["layout", "width=32", "length=60", "--drawing", "/nowhere/x.svg"], "cannot be written"),
])  # fmt: skip
def test_what_is_typed_wrong_is_said(words: list[str], why: str):
    with pytest.raises(CommandError, match=why):
        call_command("calc", *words)


def test_a_drawing_is_written_and_served(api: Api, tmp_path: Path):
    typed("layout", "--drawing", str(tmp_path / "top.svg"))
    drawn = (tmp_path / "top.svg").read_text("utf-8")
    assert drawn.startswith("<svg") and api.post("calcs/layout/", EXAMPLES["layout"]).data["drawing"] == drawn
    assert api.post("calcs/emc/", EXAMPLES["emc"]).data["drawing"] is None


def test_the_command_needs_no_database(tmp_path: Path):
    environment = {
        "SHOP_DATA_DIR": str(tmp_path),
        "SHOP_DATABASE_URL": "postgres://nobody@127.0.0.1:1/none",
        "PATH": "/usr/bin:/bin",
    }
    words = ["calc", "weight", *(f"{n}={v}" for n, v in EXAMPLES["weight"].items()), "--json"]
    ran = subprocess.run(
        [sys.executable, str(BASE / "manage.py"), *words], env=environment, capture_output=True, text=True
    )
    assert ran.returncode == 0, ran.stderr
    assert (
        json.loads(ran.stdout)["result"]["each_lb"]["value"]
        == run("weight", EXAMPLES["weight"], Habit()).result["each_lb"]["value"]
    )
    assert not list(tmp_path.glob("*.sqlite3"))
