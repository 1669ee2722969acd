"""Messages of templates may hold marks of HTML, so only what stands in a template is looked up that way; data never is."""

from __future__ import annotations

import pytest
from jinja2 import nodes

from pinseal.web.render import _environment

NAMES = sorted(_environment().list_templates(extensions=["html"]))
MESSAGES = {"_": 1, "gettext": 1, "ngettext": 2, "pgettext": 2}


@pytest.mark.parametrize("name", NAMES)
def test_a_message_of_a_template_stands_in_the_template(name: str) -> None:
    environment = _environment()
    assert environment.loader is not None
    source, *_ = environment.loader.get_source(environment, name)
    for call in environment.parse(source).find_all(nodes.Call):
        if isinstance(call.node, nodes.Name) and call.node.name in MESSAGES:
            said = call.args[: MESSAGES[call.node.name]]
            assert all(isinstance(each, nodes.Const) and isinstance(each.value, str) for each in said), f"{name}:{call.lineno}"


def test_values_in_a_message_are_escaped_and_its_own_marks_are_not() -> None:
    shown = _environment().from_string("{{ _('Only <b>%(what)s</b>.', what=typed) }} {{ told(typed) }} {{ word(typed) }}")
    text = shown.render(typed="<script>")
    assert text == "Only <b>&lt;script&gt;</b>. &lt;script&gt; &lt;script&gt;"
