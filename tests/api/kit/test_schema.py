"""The schema of the API: valid, complete, local. ``test_made_up_requests`` tries the API against it."""

import re

from django.contrib.staticfiles import finders
from django.core.management import call_command
from jsonschema_rs import validator_for

from tests.api.client import description


def test_the_description_is_served_as_openapi_3_1(nobody):
    answer = nobody.http.get("/api/v1/schema/")
    assert answer.status_code == 200
    described = answer.json()
    assert described["openapi"].startswith("3.1")
    assert len(described["paths"]) > 35
    for path in described["paths"].values():
        for operation in path.values():
            assert "#/components/schemas/Problem" in str(operation["responses"]["404"])
            assert operation["summary"]


def test_the_shapes_are_json_schema():
    for name, shape in description()["components"]["schemas"].items():
        validator_for({**shape, "components": description()["components"]}), name


def test_operations_have_names_of_their_own():
    names = [o["operationId"] for path in description()["paths"].values() for o in path.values()]
    assert len(names) == len(set(names))
    assert {"commission_get", "commissions_post", "pieces_stages_finish_post", "events_get"} <= set(names)


def test_the_reference_page_needs_no_other_host(nobody):
    for address in ("/api/v1/docs/", "/api/v1/docs/?script="):
        answer = nobody.http.get(address)
        assert answer.status_code == 200
        text = answer.content.decode()
        assert not re.findall(r"(?:src|href)=\"(?:https?:)?//", text)
        assert not re.search(r"<script>(?!\s*</script>)", text), (
            "the page's own policy forbids inline scripts"
        )
        for path in re.findall(r'(?:src|href)="/static/([^"]+)"', text):
            assert finders.find(path), path


def test_the_description_is_made_without_a_warning(tmp_path):
    call_command("spectacular", fail_on_warn=True, validate=True, file=str(tmp_path / "api.yaml"))
    assert "offer_delete_2" in (tmp_path / "api.yaml").read_text("utf-8")
