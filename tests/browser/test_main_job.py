"""The main job, as a person does it: a house surveyed with no signal becomes a report in the household's mailbox."""

from __future__ import annotations

import email
import email.policy
import re
import subprocess
from collections.abc import Iterator
from email.message import EmailMessage
from pathlib import Path

import pytest
from aiosmtpd.controller import Controller
from playwright.sync_api import BrowserContext, Page, expect

from tests.browser import by_hand
from tests.browser.ask import got
from tests.browser.hand import answer, back, choose, go_to, picture, sign_in, sizes
from tests.browser.reasons import make_version
from tests.support.chromium import Chromium
from tests.support.ports import free_port
from tests.support.server import Server

HOUSEHOLD = "household@test.example"
PHOTO = Path(__file__).with_name("photo.jpg")


class Mailbox:
    """A mail server's handler that keeps whole messages."""

    def __init__(self) -> None:
        self.messages: list[EmailMessage] = []

    async def handle_DATA(self, server: object, session: object, envelope: object) -> str:
        self.messages.append(email.message_from_bytes(envelope.content, policy=email.policy.default))
        return "250 taken"


@pytest.fixture
def mailbox() -> Iterator[tuple[Mailbox, int]]:
    box = Mailbox()
    controller = Controller(box, hostname="127.0.0.1", port=free_port())
    controller.start()
    yield box, controller.port
    controller.stop()


@pytest.fixture
def server(tmp_path: Path, demo_office: Path, mailbox: tuple[Mailbox, int]) -> Iterator[Server]:
    settings = {
        "WATTWALK_SMTP_HOST": "127.0.0.1",
        "WATTWALK_SMTP_PORT": str(mailbox[1]),
        "WATTWALK_SMTP_SECURITY": "none",
        "WATTWALK_SMTP_FROM": "office@demo.example",
    }
    with Server(tmp_path, demo=True, begin_with=demo_office, environment=settings) as running:
        yield running


@pytest.mark.first_visit
@pytest.mark.takes(seconds=40)
def test_a_house_surveyed_offline_reaches_the_mailbox(
    phone: Chromium, server: Server, mailbox: tuple[Mailbox, int], tmp_path: Path
) -> None:
    context = phone.start()
    phone.allow_lasting_storage(server.url)
    page = phone.page()
    sign_in(page, server.url, "surveyor@demo.example", "walk-the-house")
    page.wait_for_function(
        "() => navigator.serviceWorker.controller !== null || navigator.serviceWorker.ready.then(() => true)"
    )
    picture(page, "01-surveys")

    context.set_offline(True)
    server.stop()

    page.get_by_role("button", name="New survey").click()
    enter_household(page)
    enter_constructions(page)
    enter_rooms(page)
    enter_outside(page)
    enter_cable(page)
    enter_photo(page)
    go_to(page, "Before you leave")
    expect(page.get_by_role("group", name="What is open").get_by_role("button", name="18 gaps")).to_be_visible()
    picture(page, "20-before-you-leave")
    back(page)
    expect(page.get_by_role("status").filter(has_text="Saved on this phone").first).to_be_visible()

    phone.kill()
    page = open_again(phone, server, context_is_offline=True)
    expect(page.get_by_role("link", name=re.compile("Quince"))).to_be_visible()
    picture(page, "21-cold-start-without-server")

    server.start()
    page.context.set_offline(False)
    page.reload()
    sign_in_again_if_asked(page)
    expect(page.get_by_role("status").filter(has_text=re.compile("^At the office"))).to_be_visible()
    go_to(page, "Quince")
    picture(page, "22-home-at-the-office")

    see_results_on_the_phone(page)
    number = make_and_send_report(page)
    kept = f"{server.url}/api/surveys/{survey_of(page)}/reports/{number}"
    # Every figure is in the technical file; the household's quotation, which is what is mailed, has its own tests.
    technical = tmp_path / "technical.pdf"
    technical.write_bytes(got(page, f"{kept}/file").body())
    check_report(technical)
    check_mail(mailbox[0], got(page, f"{kept}.pdf").body())


def open_again(phone: Chromium, server: Server, *, context_is_offline: bool) -> Page:
    """Start the browser anew and open the app, with no network and no server behind it."""
    context: BrowserContext = phone.start()
    context.set_offline(context_is_offline)
    page = phone.page()
    page.goto(server.url)
    return page


def sign_in_again_if_asked(page: Page) -> None:
    """A killed browser may have lost its cookie, never an answer: everything waits while one signs in again."""
    asked = page.get_by_role("link").filter(has_text="Sign in again")
    settled = page.get_by_role("status").filter(has_text=re.compile("^(At the office|Sign in again)"))
    expect(settled).to_be_visible()
    if asked.count():
        asked.click()
        page.get_by_label("Email").fill("surveyor@demo.example")
        page.get_by_label("Password").fill("walk-the-house")
        page.get_by_role("button", name="Sign in").click()


def survey_of(page: Page) -> str:
    found = re.search(r"#/survey/([^/?]+)", page.url)
    assert found is not None, page.url
    return found[1]


def enter_household(page: Page) -> None:
    go_to(page, "Household and meter")
    go_to(page, "Household and house")
    answer(page, "household_name", "Quince")
    answer(page, "address", "3 Nowhere Row, Inventedham")
    answer(page, "postcode", "LS40 0VK")
    answer(page, "contact_email", HOUSEHOLD)
    choose(page, "age_band", "1930 to 1949")
    choose(page, "design_location", "Birmingham")
    answer(page, "altitude_m", "146 m")
    picture(page, "02-household")
    back(page)
    back(page)


def enter_constructions(page: Page) -> None:
    go_to(page, "Usual constructions")
    picture(page, "03-usual-constructions")
    for name, element, u_value in (
        ("Wall", "Outside wall", by_hand.WALL),
        ("Window", "Window", by_hand.WINDOW),
        ("Door", "Door", by_hand.DOOR),
        ("Inside wall", "Inside wall", by_hand.INSIDE),
        ("Floor", "Ground floor", by_hand.FLOOR),
    ):
        page.get_by_role("button", name="Add: construction").click()
        answer(page, "name", name)
        choose(page, "element", element)
        choose(page, "is_usual", "Yes")
        choose(page, "known_by", "From papers")
        # A decimal comma is as good as a point.
        answer(page, "u_value_w_m2k", str(u_value).replace(".", ","))
        back(page)
    back(page)


def enter_rooms(page: Page) -> None:
    enter_room(page, "Kitchen", "Kitchen", by_hand.KITCHEN)
    side(page, "Back side", "Outside", opening=("door", "0.9 x 2.0"))
    side(page, "Right side", "Outside")
    side(page, "Left side", "Neighbour")
    side(page, "Floor", "Ground")
    side(page, "Ceiling", "Nothing worth counting")
    enter_radiator(page)
    back(page)
    back(page)
    enter_room(page, "Living room", "Living room", by_hand.LIVING)
    side(page, "Front side", "Outside", opening=("window", "1800 mm x 1200 mm"))
    side(page, "Right side", "Outside")
    side(page, "Back side", "Kitchen")
    side(page, "Left side", "Neighbour")
    side(page, "Floor", "Ground")
    side(page, "Ceiling", "Nothing worth counting")
    picture(page, "05-room")
    enter_radiator(page)
    back(page)
    # The partition stands on the kitchen's box by itself.
    go_to(page, "Kitchen")
    expect(page.get_by_role("button", name=re.compile("^Front side:? Living room"))).to_be_visible()
    back(page)
    back(page)


def enter_room(page: Page, name: str, use: str, box: dict[str, float]) -> None:
    go_to(page, "Rooms")
    page.get_by_role("button", name="New room").click()
    page.get_by_role("region", name="New room").get_by_role("button", name=use, exact=True).click()
    expect(page.get_by_role("heading", name=name, exact=True)).to_be_visible()
    sizes(page, "Length × width × height", f"{box['length']} x {box['width']} x {box['height']}")
    expect(page.get_by_role("region", name="Front side")).to_be_visible()
    expect(
        page.get_by_role("img", name=re.compile(name)).or_(page.get_by_role("group", name=re.compile(name))).first
    ).to_be_visible()


def side(page: Page, name: str, beyond: str, then: str | None = None, opening: tuple[str, str] | None = None) -> None:
    sheet = page.get_by_role("region", name=name)
    # A measured room asks for its first side by itself, and a side said in one tap gives way to the next.
    if not sheet.is_visible():
        page.get_by_role("button", name=re.compile(f"^{name}:? not said yet")).click()
    sheet.get_by_role("button", name=beyond, exact=True).click()
    if then:
        sheet.get_by_role("button", name=then, exact=True).click()
    expect(page.get_by_role("button", name=re.compile(f"^{name}:? not said yet"))).to_have_count(0)
    if name in ("Floor", "Ceiling") or beyond in ("Neighbour", "Ground", "Nothing worth counting"):
        expect(sheet).to_have_count(0)
    if opening:
        what, size = opening
        sheet.get_by_role("button", name=f"Add a {what}").click()
        sizes(sheet, f"Width × height of the {what}", size)
        expect(sheet.get_by_text(re.compile(f"1 × {what}"))).to_be_visible()


def enter_radiator(page: Page) -> None:
    page.get_by_role("button", name="Double panel, two convectors (type 22)").click()
    page.get_by_role("link", name=re.compile("^All about it: declared output")).click()
    answer(page, "rated_output_w", str(by_hand.RADIATOR_W))
    page.get_by_role("button", name=re.compile("^For the office")).click()
    answer(page, "exponent", str(by_hand.EXPONENT))
    back(page)


def enter_outside(page: Page) -> None:
    go_to(page, "Outside")
    page.get_by_role("button", name="Add a place for the unit").click()
    answer(page, "name", "Back wall")
    picture(page, "06-position")
    page.get_by_role("button", name="Add: base").click()
    answer(page, "length_mm", "1000")
    # With both sizes known the grid takes the place of the question.
    page.get_by_label(re.compile("^Width out from the wall")).fill("800")
    page.get_by_label(re.compile("^Width out from the wall")).press("Enter")
    expect(page.get_by_role("region", name="Readings", exact=True)).to_be_visible()
    for (along, out), reading in by_hand.READINGS_MM.items():
        entry = page.get_by_role("group", name="One reading")
        entry.get_by_label("From the right").fill(str(along))
        entry.get_by_label("Out", exact=False).last.fill(str(out))
        entry.get_by_label(re.compile("^Reading")).fill(str(reading))
        entry.get_by_role("button", name="Keep, next point").click()
        expect(entry.get_by_text(re.compile("Saved on this phone"))).to_be_visible()
    answer(page, "name", "Slab")
    choose(page, "made_of", "Concrete slab")
    picture(page, "07-base")
    back(page)
    back(page)
    back(page)


def enter_cable(page: Page) -> None:
    go_to(page, "Pipes and cables")
    page.get_by_role("button", name=re.compile("^Bus cable to the outdoor unit")).click()
    answer(page, "stretches", "outdoors 5, under floor 9, cupboard 2")
    expect(page.get_by_text("16 m").first).to_be_visible()
    answer(page, "start", "Outdoor unit")
    answer(page, "end", "Hall cupboard")
    answer(page, "cores", "2")
    choose(page, "is_screened", "Yes")
    answer(page, "parallel_to_mains_m", "4")
    answer(page, "gap_to_mains_mm", "100")
    choose(page, "run_by", "Electrician")
    picture(page, "08-cable")
    back(page)
    back(page)


def enter_photo(page: Page) -> None:
    go_to(page, "Photos")
    item = page.get_by_role("listitem").filter(has_text="Photo of the base").first
    item.locator("input[type=file]").first.set_input_files(PHOTO)
    expect(item.get_by_text("Saved on this phone")).to_be_visible()
    picture(page, "09-photos")
    back(page)


def see_results_on_the_phone(page: Page) -> None:
    page.get_by_role("link", name=re.compile("Heat loss")).click()
    total = by_hand.living_w() + by_hand.kitchen_w()
    expect(page.get_by_text(re.compile(rf"{total / 1000:.1f}\skW")).first).to_be_visible()
    expect(
        page.get_by_text(re.compile(f"{by_hand.lowest_flow_c(by_hand.living_w(), by_hand.LIVING_C):.1f}")).first
    ).to_be_visible()
    picture(page, "23-results")
    back(page)


def make_and_send_report(page: Page) -> int:
    survey = survey_of(page)
    page.goto(page.url.split("#")[0] + f"#/survey/{survey}/office/reports")
    assert make_version(page)[0] == 1
    expect(page.get_by_role("link", name="Quotation, version 1")).to_be_visible()
    expect(page.get_by_label("To", exact=True)).to_have_value(HOUSEHOLD)
    picture(page, "24-report-made")
    page.get_by_role("button", name="Send version 1").click()
    expect(page.get_by_text(re.compile(rf"[Ss]ent .*{re.escape(HOUSEHOLD)}"))).to_be_visible()
    picture(page, "25-report-sent")
    return 1


def check_report(pdf: Path) -> None:
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], check=True, capture_output=True, text=True).stdout
    living, kitchen = by_hand.living_w(), by_hand.kitchen_w()
    for figure in (
        f"{living:,.0f}",
        f"{kitchen:,.0f}",
        f"{(living + kitchen) / 1000:.1f} kW",
        f"{by_hand.radiator_w(by_hand.LIVING_C):,.0f}",
        f"{by_hand.radiator_w(by_hand.KITCHEN_C):,.0f}",
        f"{by_hand.fall_mm_m():.1f}",
        "Quince",
        "Bus cable to the outdoor unit",
        "Page 1 of",
    ):
        assert figure in text, f"{figure!r} is not in the report"
    assert f"{by_hand.OUTSIDE_C:.1f} °C".replace("-", "−") in text
    pictures = subprocess.run(["pdfimages", "-list", str(pdf)], check=True, capture_output=True, text=True).stdout
    assert len(pictures.strip().splitlines()) == 2 + 1, "the report should hold the one photo"


def check_mail(mailbox: Mailbox, quotation: bytes) -> None:
    assert len(mailbox.messages) == 1
    message = mailbox.messages[0]
    assert message["To"] == HOUSEHOLD
    attached = [part for part in message.iter_attachments() if part.get_content_type() == "application/pdf"]
    assert [part.get_content() for part in attached] == [quotation]
    assert quotation.startswith(b"%PDF-")
