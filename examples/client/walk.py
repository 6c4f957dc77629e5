# SPDX-License-Identifier: MIT
"""From an empty server to a signed report: three testers, one conflict, one signature.

    brackish serve                                    # prints the address and the owner's link
    python examples/client/walk.py ADDRESS LINK -o report.pdf
    brackish verify report.pdf                        # needs no server

Everyone and everything here is invented.
"""

from __future__ import annotations

import argparse
import uuid

from brackish_client import Client, Device

PASSWORD = "salt on blasted steel"


def walk(address: str, link: str) -> bytes:
    """The report of a small job that four people made together."""
    owner = account(address, link, "ruth", "Ruth Alder")
    people = {name: invited(owner, address, role, name, shown) for name, (role, shown) in TEAM.items()}
    job = str(uuid.uuid4())
    owner.call("POST", "/jobs", {"id": job})
    desk = Device(name="desk of ruth", job=job, author="ruth")
    describe(desk)
    print("1. The job as agreed:", outcome_words(desk.send(owner)))

    phones = {name: Device(name=f"phone of {name}", job=job, author=name) for name in ("ines", "tomas", "jonna")}
    for number, (name, phone) in enumerate(phones.items(), 1):
        phone.read(people[name])
        patch_test(phone, f"T{number}", f"L{number}", reading=f"{8 + number}.1 uS/cm")
    phones["jonna"].set(["test", "T2", "facts", "reading"], ["12.3 uS/cm"])  # called over the radio, typed a second time
    for name in ("jonna", "tomas", "ines"):  # they come back into the network in any order
        print(f"2. {name} sends:", outcome_words(phones[name].send(people[name])))

    state = phones["tomas"].read(people["tomas"])
    for conflict in state["open_conflicts"]:
        print("3. In conflict:", "/".join(conflict["path"]), [(event["author"], event["value"]) for event in conflict["events"]])
    phones["tomas"].set(["test", "T2", "facts", "reading"], ["10.1 uS/cm"], reason="photo of the meter shows 10.1")
    print("4. tomas settles it:", outcome_words(phones["tomas"].send(people["tomas"])))

    verdict = owner.call("GET", f"/jobs/{job}/outcome")["job"]["verdict"]
    print("5. Judged:", verdict)
    owner.call("POST", "/signing-key", {"password": PASSWORD})
    shown = owner.call("GET", f"/jobs/{job}/signatures")
    signed = owner.call("POST", f"/jobs/{job}/signatures", {"hash": shown["hash"], "password": PASSWORD})
    print("6. Signed by ruth, key", signed["fingerprint"])
    return bytes(owner.call("GET", f"/jobs/{job}/report"))


TEAM = {"ines": ("tester", "Ines Farrow"), "tomas": ("tester", "Tomas Abell"), "jonna": ("tester", "Jonna Reith")}


def account(address: str, link: str, name: str, shown_name: str) -> Client:
    client = Client(address)
    client.accept(link, name=name, shown_name=shown_name, password=PASSWORD)
    client.sign_in(name, PASSWORD)
    return client


def invited(owner: Client, address: str, role: str, name: str, shown_name: str) -> Client:
    return account(address, owner.call("POST", "/invitations", {"role": role})["link"], name, shown_name)


def describe(desk: Device) -> None:
    """What the contract asks, and the kit: written at the desk before anyone goes out."""
    desk.set(["format"], "brackish-job/1")
    desk.set(["job", "id"], desk.job)
    desk.set(["job", "title"], "Footbridge over the Pell, span 2")
    desk.set(["job", "site"], "Pell Quay")
    criterion = {
        "applies_to": "steel",
        "quantity": "nacl_equivalent_per_area",
        "sense": "at-most",
        "limit": "50 mg/m2",
        "judged": "each",
        "decision_rule": "three-way",
        "guard_band": "two-sided",
        "level": "95 %",
        "uncertainty": "budget",
        "on_inconclusive": "retest",
        "reference_temperature": "25 degC",
        "count": "3 per item",
        "blank_rule": "full-kit",
    }
    desk.set(["specification", "paint-spec", "title"], "Coating specification 7, issue C")
    for name, text in criterion.items():
        desk.set(["specification", "paint-spec", "criterion", "steel", name], text)
    meter = {"kind": "conductivity-meter", "serial": "C-1207", "resolution": "0.1 uS/cm", "accuracy": "1 %", "temperature_compensation": "linear"}
    for name, text in (meter | {"temperature_coefficient": "2.1 %/K", "reference_temperature": "25 degC"}).items():
        desk.set(["equipment", "meter", name], text)
    for name, text in {"kind": "steel", "name": "Girder 2, web", "area": "46 m2"}.items():
        desk.set(["item", "girder", name], text)
    for number in (1, 2, 3):
        desk.set(["location", f"L{number}", "item"], "girder")
        desk.set(["location", f"L{number}", "name"], f"lower flange, {number} m from bearing")
    blank = {"kind": "full-kit", "at": "2026-03-04T08:50:00+00:00", "solution_volume": "10.0 mL", "reading": ["1.2 uS/cm"], "temperature": "25.0 degC"}
    for name, value in blank.items():
        desk.set(["blank", "B1", name], value)
    for person, (role, shown_name) in (TEAM | {"ruth": ("owner", "Ruth Alder")}).items():
        desk.set(["person", person, "name"], shown_name)
        desk.set(["person", person, "role"], role)


def patch_test(phone: Device, test: str, location: str, *, reading: str) -> None:
    """One patch test, fact by fact, as a tester writes it down."""
    heading = {"item": "girder", "location": location, "method": "patch-conductivity", "tester": phone.author, "equipment": ["meter"], "blank": "B1"}
    times = {"started": "2026-03-04T09:05:00+00:00", "read_at": "2026-03-04T09:16:00+00:00"}
    for name, value in (heading | times).items():
        phone.set(["test", test, name], value)
    cell = {"compartment_area": "1250 mm2", "volume_injected": "3.0 mL", "returned_to": "beaker", "solution_volume": "10.0 mL"}
    for name, value in (cell | {"dwell": "10 min", "cycles": 6, "liquid_lost": False, "reading": [reading], "temperature": "25.0 degC"}).items():
        phone.set(["test", test, "facts", name], value)


def outcome_words(answers: list[dict]) -> str:
    states = [answer["state"] for answer in answers]
    return ", ".join(f"{states.count(state)} {state}" for state in dict.fromkeys(states))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("address")
    parser.add_argument("link", help="the owner's link, as the server printed it")
    parser.add_argument("-o", "--output", default="report.pdf")
    options = parser.parse_args()
    report = walk(options.address, options.link)
    with open(options.output, "wb") as file:
        file.write(report)
    print(f"7. Report written to {options.output}; check it with: brackish verify {options.output}")
