# SPDX-License-Identifier: MIT
"""The one script that writes, in a real browser against the real API: nothing that was typed is lost, and nothing is said to be seen that was not."""

from __future__ import annotations

import json

import pytest

from brackish.web import models
from brackish.web.ledger import store
from brackish.web.ledger.outcomes import state_of
from tests.web.desk import WRITE, said, waiting, write
from tests.web.writing import JOB, footbridge

pytestmark = pytest.mark.slow
HTML = {"content_type": "text/html", "body": "<p>Welcome to the harbour's network. Accept our terms.</p>"}


def document() -> dict:
    return state_of(models.Job.objects.get(id=JOB)).document


def facts() -> dict:
    return document()["test"][0]["facts"]


PH, READING = ("test", "T1", "facts", "ph"), ("test", "T1", "facts", "reading")


@pytest.mark.parametrize("status", [200, 302, 403, 407, 413, 511])
def test_answer_of_something_in_between_leaves_all_that_was_written(desk, status):
    page = desk.page()
    desk.network = json.dumps({**HTML, "status": status})
    assert write(page, (PH, "6.8")) == "waiting"
    desk.network = "good"
    assert write(page, (READING, ["9.1 uS/cm"])) == "sent"
    assert facts() == {"ph": "6.8", "reading": ["9.1 uS/cm"]}


def test_answer_that_does_not_speak_of_every_event_takes_none_away(desk):
    page = desk.page()
    desk.network = json.dumps({"content_type": "application/json", "body": '{"events": [], "base": []}'})
    assert write(page, (PH, "6.8")) == "waiting"
    assert waiting(page) == 1


def test_who_lost_the_right_to_write_keeps_what_was_written_and_is_told_why(desk):
    page = desk.page()
    models.Membership.objects.filter(person__name="tester").update(role="reader")
    assert write(page, (PH, "6.8")) == "waiting"
    assert said(page).startswith("Not sent yet. ") and "reader" in said(page)
    models.Membership.objects.filter(person__name="tester").update(role="tester")
    assert write(page, (READING, ["9.1 uS/cm"])) == "sent"
    assert facts()["ph"] == "6.8"


def test_what_one_wrote_is_not_sent_in_the_session_of_another_and_not_lost_by_it(desk):
    page = desk.page()
    desk.network = "none"
    assert write(page, (PH, "6.8")) == "waiting"
    desk.role, desk.network = "inspector", "good"  # who signed in beside, in another tab
    assert write(page, (READING, ["9.1 uS/cm"])) == "waiting"
    desk.role = "tester"
    page.reload()
    assert waiting(page) == 2
    page.evaluate("async () => (await import('/static/brackish/record.js')).sendAll()")
    assert (waiting(page), facts()) == (0, {"ph": "6.8", "reading": ["9.1 uS/cm"]})


def test_more_than_the_server_takes_at_once_goes_in_several_lists(desk, monkeypatch):
    monkeypatch.setattr(store, "MOST_EVENTS", 300)
    page = desk.page()
    assert write(page, *[(("test", f"T{number}", "item"), "girder") for number in range(450)]) == "sent"
    assert models.Event.objects.filter(job=JOB, placed=True).count() == 450
    desk.network = "none"
    assert write(page, *[(("test", f"T{number}", "stage"), "after-blasting") for number in range(450)]) == "waiting"
    desk.network = "good"
    assert write(page, (PH, "6.8")) == "sent"
    assert models.Event.objects.filter(job=JOB, placed=True).count() == 901


def test_what_follows_a_refused_event_is_written_anew(desk):
    page = desk.page()
    write(page, (PH, "6.7"))
    desk.network = "none"
    for path, value in ((PH, "6.8"), (("job", "title"), "not a tester's"), (READING, ["9.1 uS/cm"]), (PH, "6.9")):
        write(page, (path, value))
    desk.network = "good"
    assert write(page, (("test", "T1", "item"), "girder")) == "refused"
    assert "Not taken" in said(page)
    state = state_of(models.Job.objects.get(id=JOB))
    assert (waiting(page), state.conflicts) == (0, ())
    assert state.document["test"] == [{"id": "T1", "facts": {"ph": "6.9", "reading": ["9.1 uS/cm"]}, "item": "girder"}]
    assert "job" not in state.document


def test_one_reason_for_several_refused_changes_is_said_once(desk):
    page = desk.page()
    assert write(page, (("job", "title"), "not a tester's"), (("job", "site"), "nor this")) == "refused"
    message = said(page)
    assert message.startswith("Not taken. ") and message.count(message.removeprefix("Not taken. ")[:40]) == 1


def test_server_that_was_set_back_is_told_of_and_written_to_anew(desk):
    page = desk.page()
    write(page, (PH, "6.7"))
    models.Event.objects.all().delete()
    models.Job.objects.update(frontier=[], head="", events=0)
    page = desk.page()
    assert write(page, (PH, "6.8"), (READING, ["9.1 uS/cm"])) == "refused"
    assert (said(page), waiting(page)) == ("Not taken. Set back.", 0)
    assert write(page, (PH, "6.8")) == "sent"
    assert facts() == {"ph": "6.8"}


def test_what_is_typed_while_the_network_is_silent_is_kept_at_once(desk):
    page = desk.page()
    desk.network = "silent"
    begin = f"([changes, options]) => {{ ({WRITE})([changes, options]); }}"
    with page.expect_request("**/events"):
        page.evaluate(begin, [[{"path": list(PH), "value": "6.8"}], {}])
    page.evaluate(begin, [[{"path": list(PH), "value": "6.9"}], {}])
    page.wait_for_function("localStorage.length > 0 && JSON.parse(localStorage.getItem(localStorage.key(0))).queue.length === 2", timeout=12_000)
    page.close()  # the battery is empty
    desk.network = "good"
    page = desk.page()
    assert write(page, (READING, ["9.1 uS/cm"])) == "sent"
    assert facts() == {"ph": "6.9", "reading": ["9.1 uS/cm"]}


def test_value_of_another_that_this_page_never_showed_is_not_written_over_unseen(desk):
    page = desk.page()
    desk.workspace.send("owner", desk.workspace.writer("owner").set(READING, ["19.1 uS/cm"]))
    assert write(page, (PH, "6.8")) == "sent"
    assert write(page, (READING, ["9.1 uS/cm"])) == "sent"
    assert [conflict.path for conflict in state_of(models.Job.objects.get(id=JOB)).conflicts] == [READING]
    assert write(page, (PH, "6.9")) == "sent"
    assert len(state_of(models.Job.objects.get(id=JOB)).conflicts) == 1  # what this page itself wrote, it has seen


def test_no_room_on_the_device_is_said(desk):
    page = desk.page()
    page.evaluate(
        "() => { for (let size = 4_000_000; size > 10; size /= 2) try { localStorage.setItem(`full ${size}`, 'x'.repeat(size)); size *= 2.01 } catch { } }"
    )
    assert write(page, (PH, "6.8" * 100)) == "failed"
    assert "Failed." in said(page)


def test_what_waits_of_any_job_is_sent_from_any_page_and_a_refusal_is_said(desk):
    other = models.Job.objects.create(id="11111111-1111-4111-8111-111111111111", organisation=desk.workspace.organisation, changed=desk.workspace.job.changed)
    page = desk.page()
    desk.network = "none"
    where = {"job": other.id, "author": "tester"}
    assert write(page, (PH, "6.8"), where=where, base=[]) == "waiting"
    assert write(page, (("job", "title"), "not a tester's"), where=where, base=[]) == "waiting"
    desk.network = "good"
    page.evaluate("async () => (await import('/static/brackish/record.js')).sendAll()")
    assert state_of(other).document == {"test": [{"id": "T1", "facts": {"ph": "6.8"}}]}
    assert "Not taken" in said(page)


def test_form_that_is_sent_twice_writes_once(desk):
    desk.workspace.send("owner", *desk.workspace.writer("owner").document(footbridge()))
    desk.body = '<form data-write><input data-path=\'["test","T1","facts","volume_injected"]\' value="6,8" data-unit="mL"><button>Keep</button></form><script type="module" src="/static/brackish/record.js"></script>'
    page = desk.page()
    page.evaluate("() => { for (let n = 0; n < 2; n += 1) document.querySelector('form').requestSubmit(); }")
    page.get_by_text("Written").wait_for()
    assert [event.value for event in store.events_of(JOB) if event.author == "tester"] == ["6.8 mL"]  # and a decimal comma is a point


def test_page_that_is_shown_again_after_it_was_left_still_writes(desk):
    desk.body = '<form data-write><input data-path=\'["test","T1","facts","ph"]\' value="6.8"><button data-anyway>Keep</button></form><script type="module" src="/static/brackish/record.js"></script>'
    page = desk.page()
    desk.context.route("**/elsewhere", lambda route: route.fulfill(status=204))  # so that this page stays, as it does in a browser's memory
    page.evaluate("async () => (await import('/static/brackish/record.js')).again({ to: '/elsewhere' })")
    page.evaluate("() => window.dispatchEvent(new PageTransitionEvent('pageshow', { persisted: true }))")
    with page.expect_response("**/events"):
        page.get_by_role("button", name="Keep").click()
    assert facts() == {"ph": "6.8"}


def test_page_is_loaded_again_though_only_its_place_differs(desk):
    page = desk.page()
    page.evaluate("async () => { window.before = true; (await import('/static/brackish/record.js')).again({ text: 'Verification written', to: '/#verify' }); }")
    page.wait_for_function("window.before === undefined")
    page.evaluate("() => import('/static/brackish/record.js')")
    assert (page.url, said(page)) == ("https://desk.test/#verify", "Verification written")


OFFLINE = """<form id="one" data-write><input data-path='["test","T1","facts","ph"]' value="6.8"><button data-anyway>Keep</button></form>
  <form id="two"><input name="other"></form><script type="module" src="/static/brackish/record.js"></script><script type="module" src="/static/brackish/frame.js"></script>"""


def keep_offline(desk):
    """A page on which something was written without a network."""
    desk.body = OFFLINE
    page = desk.page()
    page.evaluate("() => { window.before = true; }")
    desk.network = "none"
    page.locator("#one input").fill("6.9")
    page.get_by_role("button", name="Keep").click()
    page.get_by_text("Not sent yet.").wait_for()
    page.wait_for_function("document.querySelector('#one').dataset.typed === undefined")
    return page


def test_what_waits_and_says_the_same_is_not_written_twice(desk):
    page = keep_offline(desk)
    page.evaluate("() => document.getElementById('messages').replaceChildren()")
    page.get_by_role("button", name="Keep").click()
    page.get_by_text("Not sent yet.").wait_for()
    assert waiting(page) == 1
    for value, there in (("7.0", 2), ("6.9", 3), ("6.9", 3)):  # back to what it was is another thing to say
        write(page, (PH, value))
        assert waiting(page) == there
    assert write(page, (PH, "6.9"), reason="read twice") == "waiting"
    assert waiting(page) == 4
    desk.network = "good"
    page.evaluate("async () => (await import('/static/brackish/record.js')).sendAll()")
    assert (waiting(page), facts()) == (0, {"ph": "6.9"})


def test_page_is_shown_anew_when_what_waited_was_sent(desk):
    page = keep_offline(desk)
    desk.network = "good"
    page.evaluate("() => window.dispatchEvent(new Event('online'))")
    page.wait_for_function("window.before === undefined")
    page.get_by_text("Written").wait_for()
    assert facts() == {"ph": "6.9"}


def test_page_on_which_somebody_types_stays(desk):
    page = keep_offline(desk)
    page.locator("#two input").fill("half a sen")
    desk.network = "good"
    with page.expect_response("**/events"):
        page.evaluate("() => window.dispatchEvent(new Event('online'))")
    page.wait_for_function("async () => (await import('/static/brackish/record.js')).waiting() === 0")
    page.wait_for_timeout(50)
    assert page.evaluate("window.before") and page.locator("#two input").input_value() == "half a sen"


def test_what_another_window_wrote_meanwhile_is_said_and_comes_back(desk):
    desk.body = OFFLINE
    first, second = desk.page(), desk.page()
    for page in (first, second):
        page.wait_for_function("import('/static/brackish/record.js').then(() => true)")
    second.locator("#one input").fill("6.9")
    assert write(first, (PH, "6.5")) == "sent"
    second.get_by_role("button", name="Keep").click()
    second.get_by_text("Written. Meanwhile written: 6.5.").wait_for()
    assert (facts(), document().get("conflicts")) == ({"ph": "6.9"}, None)
    second.get_by_role("button", name="Take back").click()
    second.get_by_text("Undone").wait_for()
    assert facts() == {"ph": "6.5"}
