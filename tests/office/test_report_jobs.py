"""Jobs of reports: one version for one number, whoever dies at whatever moment, and files that are whole or not there."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from flask import current_app
from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError

from tests.support import invented_house as house
from tests.support.cast import ADA, Office, change, open_office
from tests.support.dying import PDF, REPORT_STEPS, run_and_die
from tests.support.reasons import WRITTEN, written
from tests.support.together import together
from tests.support.until import PATIENCE_S, wait_until
from wattwalk.accounts import find_or_add_firm
from wattwalk.database import db, now, reading, writing
from wattwalk.models import Firm, Report, ReportJob
from wattwalk.office import leases, papers, report_jobs
from wattwalk.office.frozen import RenderRequest, freeze
from wattwalk.office.leases import LEASE, LeaseLostError
from wattwalk.office.render import RenderInterruptedError
from wattwalk.office.report_inputs import ReportError
from wattwalk.office.versions import ReasonsWantedError, ask_for_version
from wattwalk.survey.document import read_document
from wattwalk.survey.known import known

ROOT = Path(__file__).resolve().parents[2]


class Bench:
    """An office in which reports can be asked for and made by hand."""

    def __init__(self, office: Office) -> None:
        self.office, self.settings = office, office.settings
        self.firm = find_or_add_firm(ADA.firm).id

    def survey(self) -> str:
        """Make a survey of its own and return its id."""
        self.office.take_up_survey()
        self.office.device(ADA).push(change())
        return self.office.survey

    def ask(self, survey: str) -> str:
        """Ask for a version and return the job's id."""
        return ask_for_version(
            self.settings, firm_id=self.firm, user_id=None, survey_id=survey, reasons=lambda _point: WRITTEN
        ).id

    def job(self, job_id: str) -> ReportJob:
        """Return a job's row as it stands."""
        with reading() as session:
            return session.get_one(ReportJob, job_id, populate_existing=True)

    def versions(self, survey: str) -> list[Report]:
        """Return a survey's versions by number."""
        with reading() as session:
            return list(session.scalars(select(Report).where(Report.survey_id == survey).order_by(Report.number)))

    def files(self, survey: str) -> list[str]:
        """Return the names of the files that lie in a survey's folder of papers."""
        folder = self.settings.reports / survey
        return sorted(path.name for path in folder.iterdir()) if folder.is_dir() else []

    def make(self, at: datetime | None = None) -> list[str]:
        """Make what waits at a moment and return the states."""
        return [state for _job, state in report_jobs.make_waiting(self.settings, at=(lambda: at) if at else now)]

    def check(self, survey: str, numbers: list[int]) -> None:
        """See to it that a survey has these versions, each with a whole file, and no other file."""
        found = self.versions(survey)
        assert [report.number for report in found] == numbers
        with reading() as session:
            kept = [paper for report in found for paper in (report, *papers.papers_beside(session, report))]
        assert {papers.paper_state(self.settings, paper) for paper in kept} == ({papers.WHOLE} if numbers else set())
        assert self.files(survey) == sorted(Path(paper.file_name).name for paper in kept)


@pytest.fixture
def bench(database_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Bench]:
    """A bench in an office of its own, on each make of database, with a stand-in for the setting of the PDF."""
    monkeypatch.setattr(report_jobs, "render_in_subprocess", lambda _request, **_: {"quotation": PDF})
    with open_office(database_url, tmp_path / "home") as office, office.app.app_context():
        yield Bench(office)


@pytest.mark.parametrize("step", REPORT_STEPS)
def test_a_job_whose_process_died_is_made_by_the_next(bench: Bench, step: str) -> None:
    survey = bench.survey()
    job = bench.ask(survey)
    assert run_and_die(bench.settings, 1, f"report: {step}") == -signal.SIGKILL
    row = bench.job(job)
    if step == "put down":
        assert (row.state, row.inputs_json) == ("ready", None)
        bench.check(survey, [1])
        return
    assert (row.state, row.attempts) == ("rendering", 1)
    assert bench.versions(survey) == []
    # Its lease still holds: nobody takes a job from a process that may be alive.
    assert bench.make() == []
    late = now() + LEASE + timedelta(seconds=1)
    assert bench.make(late) == ["ready"]
    assert (bench.job(job).state, bench.job(job).attempts) == ("ready", 2)
    bench.check(survey, [1])


def test_a_version_keeps_the_logo_that_it_was_made_with(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    given: list[RenderRequest] = []
    monkeypatch.setattr(
        report_jobs, "render_in_subprocess", lambda request, **_: given.append(request) or {"quotation": PDF}
    )
    survey = bench.survey()

    def version_with(logo: str | None) -> dict:
        with writing() as session:
            session.get_one(Firm, bench.firm).logo = logo
        bench.ask(survey)
        assert bench.make() == ["ready"]
        return json.loads(given[-1].inputs_json)["firm"]

    assert "logo" not in version_with(None)
    assert version_with("data:image/png;base64,AAAA")["logo"] == "data:image/png;base64,AAAA"
    with reading() as session:
        kept = session.scalars(select(Report.inputs_json).where(Report.survey_id == survey).order_by(Report.number))
        assert [json.loads(text)["firm"].get("logo") for text in kept] == [None, "data:image/png;base64,AAAA"]


def test_a_job_that_takes_the_program_down_each_time_is_given_up(bench: Bench) -> None:
    survey = bench.survey()
    job = bench.ask(survey)
    moment = now()
    for _ in range(report_jobs.MOST_ATTEMPTS):
        assert report_jobs._take_up(bench.settings, lambda moment=moment: moment) is not None
        moment += LEASE + timedelta(seconds=1)
    (bench.settings.reports / survey).mkdir(parents=True)
    for name in (f"1-{job[-12:]}-abcd.pdf", f".1-{job[-12:]}-abcd.pdf.9876"):
        (bench.settings.reports / survey / name).write_bytes(b"left behind")
    assert bench.make(moment) == []
    row = bench.job(job)
    assert (row.state, row.problem, row.owner, row.inputs_json) == ("failed", "report_interrupted", None, None)
    bench.check(survey, [])
    # The next one is not held up by it, and has its number.
    bench.ask(survey)
    assert bench.make() == ["ready"]
    bench.check(survey, [1])


def test_who_was_only_slow_puts_nothing_down(bench: Bench) -> None:
    survey = bench.survey()
    bench.ask(survey)
    slow = report_jobs._take_up(bench.settings, now)
    late = now() + LEASE + timedelta(seconds=1)
    assert bench.make(late) == ["ready"]
    with pytest.raises(LeaseLostError):
        report_jobs._put_down(bench.settings, slow, {"quotation": PDF}, now)
    assert report_jobs._make(bench.settings, slow, threading.Event(), now) == "lost"
    bench.check(survey, [1])


def test_who_has_lost_the_lease_is_told_while_it_works(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(leases, "_BEAT_S", 0.05)
    told = []

    def slow(_request: RenderRequest, *, is_unwanted) -> bytes:
        with current_app._get_current_object().app_context(), writing() as session:
            session.get_one(ReportJob, job).owner = "somebody else"
        wait_until(is_unwanted, "nobody tells it")
        told.append(True)
        raise RenderInterruptedError("not wanted")

    monkeypatch.setattr(report_jobs, "render_in_subprocess", slow)
    job = bench.ask(bench.survey())
    assert bench.make() == ["lost"]
    assert told == [True]
    assert (bench.job(job).state, bench.job(job).owner) == ("rendering", "somebody else")


def test_a_server_that_ends_gives_its_job_back_at_once(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    stop = threading.Event()

    def ended(_request: RenderRequest, *, is_unwanted) -> bytes:
        stop.set()
        assert is_unwanted()
        raise RenderInterruptedError("the program ends")

    survey = bench.survey()
    job = bench.ask(survey)
    with monkeypatch.context() as patched:
        patched.setattr(report_jobs, "render_in_subprocess", ended)
        assert report_jobs.make_waiting(bench.settings, stop=stop) == [(job, "waiting")]
    assert (bench.job(job).attempts, bench.job(job).owner) == (0, None)
    assert bench.make() == ["ready"]
    bench.check(survey, [1])


def test_makers_at_once_make_each_job_once(bench: Bench) -> None:
    surveys = [bench.survey() for _ in range(8)]
    for survey in surveys:
        bench.ask(survey)
    app, states = current_app._get_current_object(), []

    def make(_place: int, _item: None) -> None:
        with app.app_context():
            states.extend(state for _job, state in report_jobs.make_waiting(bench.settings))

    together(make, [None] * 4)
    assert states == ["ready"] * 8
    for survey in surveys:
        bench.check(survey, [1])


def test_askers_and_makers_at_once_give_each_number_once(bench: Bench) -> None:
    survey = bench.survey()
    app, device = current_app._get_current_object(), bench.office.device(ADA)
    stop = threading.Event()

    def work(place: int, _item: None) -> None:
        with app.app_context():
            if place == 0:
                for length in range(6):
                    device.push(change("hall", "length_m", 3 + length, seen=device.view()["revision"]))
                    while device.client.post(f"{device.path}/reports", json=written(device)).status_code == 409:
                        time.sleep(0.01)
                stop.set()
            while not stop.is_set():
                report_jobs.make_waiting(bench.settings)
                time.sleep(0.01)

    together(work, [None] * 3)
    bench.make()
    with reading() as session:
        assert (
            session.scalar(
                select(func.count())
                .select_from(ReportJob)
                .where(ReportJob.survey_id == survey, ReportJob.state != "ready")
            )
            == 0
        )
    bench.check(survey, [1, 2, 3, 4, 5, 6])


def test_one_job_of_a_survey_is_under_way_whatever_the_program_does(bench: Bench) -> None:
    survey = bench.survey()
    bench.ask(survey)
    with pytest.raises(IntegrityError), writing() as session:
        session.add(
            ReportJob(id="another", survey_id=survey, number=2, revision=1, state="waiting", attempts=0, asked_at=now())
        )


def test_made_at_once_without_a_server(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    survey = bench.survey()
    report = report_jobs.make_now(bench.settings, firm_id=bench.firm, user_id=None, survey_id=survey, reason=WRITTEN)
    assert (report.number, papers.read_paper(bench.settings, report, 1)) == (1, PDF)
    # A server beside that has the job in hand is waited for.
    job = bench.ask(survey)
    taken = report_jobs._take_up(bench.settings, now)
    app = current_app._get_current_object()

    def finish() -> None:
        time.sleep(0.5)
        with app.app_context():
            report_jobs._make(bench.settings, taken, threading.Event(), now)

    finishing = threading.Thread(target=finish)
    finishing.start()
    assert (
        report_jobs.make_now(bench.settings, firm_id=bench.firm, user_id=None, survey_id=survey, reason=WRITTEN).number
        == 2
    )
    finishing.join()
    assert bench.job(job).state == "ready"

    def fail(_request: RenderRequest, **_) -> bytes:
        raise ReportError("a font is missing")

    monkeypatch.setattr(report_jobs, "render_in_subprocess", fail)
    with pytest.raises(ReportError, match="could not be made"):
        report_jobs.make_now(bench.settings, firm_id=bench.firm, user_id=None, survey_id=survey, reason=WRITTEN)
    bench.check(survey, [1, 2])


def test_a_job_that_another_is_just_taking_is_passed_over_at_once(bench: Bench) -> None:
    if db.engine.dialect.name != "postgresql":
        pytest.skip("SQLite has one writer at a time.")
    first, second = bench.ask(bench.survey()), bench.ask(bench.survey())
    app, found = current_app._get_current_object(), []

    def look() -> None:
        with app.app_context():
            job = report_jobs._take_up(bench.settings, now)
            found.append(job.id if job is not None else None)

    with db.engine.connect() as other:
        other.execute(select(ReportJob).where(ReportJob.id == first).with_for_update())
        looking = threading.Thread(target=look, daemon=True)
        looking.start()
        looking.join(PATIENCE_S)
        assert found == [second]
        other.rollback()


_PARENT = """
import json, subprocess, sys
from wattwalk.office import render
class Noted(subprocess.Popen):
    def __init__(self, *given, **named):
        super().__init__(*given, **named)
        print(self.pid, flush=True)
subprocess.Popen = Noted
render.render_in_subprocess(render.RenderRequest(**json.loads(sys.stdin.read())))
"""


def test_the_process_that_sets_a_report_ends_with_its_parent(tmp_path: Path) -> None:
    # A photo that never comes out of its pipe keeps the report at work for as long as nobody ends it.
    pipe = tmp_path / "photo"
    os.mkfifo(pipe)
    inputs = freeze(
        read_document(house.document()),
        revision=1,
        firm={"name": "Invented Heating Ltd"},
        photos=["a" * 64],
        with_checks=False,
    )
    request = json.dumps(asdict(RenderRequest(inputs, 1, "2026-04-02", {"a" * 64: str(pipe)})))
    parent = subprocess.Popen(
        [sys.executable, "-c", _PARENT], cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    parent.stdin.write(request)
    parent.stdin.close()
    child = int(parent.stdout.readline())

    def reader() -> int | None:
        assert _lives(child)
        return _writing_end(pipe)

    writing_end = wait_until(reader, "It never came to its photo.")
    parent.kill()
    parent.wait()
    parent.stdout.close()
    wait_until(lambda: not _lives(child), "It goes on without its parent.")
    os.close(writing_end)


_IN_TWO = """
import os, sys
from wattwalk.office import render
from wattwalk.office.report_inputs import ReportError
def make(name):
    if name == "longest":
        return open(sys.argv[1], "rb").read()
    print(os.getpid(), file=sys.stderr, flush=True)
    {beside}
try:
    made = render._in_two(make, ("one", "longest", "other"), alone="longest")
    print(list(made), made["other"])
except ReportError as error:
    print("refused:", error)
"""


@contextmanager
def _making(pipe: Path, beside: str) -> Iterator[tuple[subprocess.Popen[str], int]]:
    """Start a process that makes its longest paper for as long as nobody has written to the pipe, and tell the one that makes the others beside it."""
    os.mkfifo(pipe)
    with subprocess.Popen(
        [sys.executable, "-c", _IN_TWO.format(beside=beside), str(pipe)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        yield process, int(known(process.stderr).readline())


def test_papers_are_made_two_at_a_time_and_come_in_their_order(tmp_path: Path) -> None:
    with _making(tmp_path / "pipe", "return b'x' * 1_000_000 if name == 'one' else name.encode()") as (process, beside):
        assert beside != process.pid
        (tmp_path / "pipe").write_bytes(b"long")
        assert known(process.stdout).read() == "['one', 'longest', 'other'] b'other'\n"


def test_a_paper_that_is_refused_beside_the_longest_is_refused_in_its_words(tmp_path: Path) -> None:
    with _making(tmp_path / "pipe", "raise ReportError('no paper for this')") as (process, _beside):
        (tmp_path / "pipe").write_bytes(b"long")
        assert known(process.stdout).read() == "refused: no paper for this\n"


def test_a_fault_beside_the_longest_is_a_fault_and_no_refusal(tmp_path: Path) -> None:
    with _making(tmp_path / "pipe", "raise ZeroDivisionError('in a drawing')") as (process, _beside):
        (tmp_path / "pipe").write_bytes(b"long")
        assert known(process.stdout).read() == ""
        assert known(process.stderr).read().splitlines()[-1] == "ZeroDivisionError: in a drawing"
        assert process.wait() == 1


def test_whoever_makes_papers_beside_the_longest_ends_with_it(tmp_path: Path) -> None:
    with _making(tmp_path / "pipe", "return open(sys.argv[1], 'rb').read()") as (process, beside):
        assert _lives(beside)
        process.kill()
        wait_until(lambda: not _lives(beside), "It goes on without the one that it works for.")


def test_what_ends_the_one_beside_ends_the_whole(tmp_path: Path) -> None:
    with _making(tmp_path / "pipe", "import signal; signal.pause()") as (process, beside):
        os.kill(beside, signal.SIGKILL)
        (tmp_path / "pipe").write_bytes(b"long")
        assert process.wait() == -signal.SIGKILL


def _writing_end(pipe: Path) -> int | None:
    """Return the end of a pipe to write to once somebody reads from it, None before."""
    try:
        return os.open(pipe, os.O_WRONLY | os.O_NONBLOCK)
    except OSError:
        return None


def _lives(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rsplit(") ", 1)[1][0] != "Z"
    except FileNotFoundError:
        return False


@pytest.mark.parametrize("nothing", ["", "  ", "\u200b", None])
def test_a_reason_that_nobody_can_read_is_none(bench: Bench, nothing: str | None) -> None:
    survey = bench.survey()
    with pytest.raises(ReasonsWantedError) as refusal:
        ask_for_version(
            bench.settings, firm_id=bench.firm, user_id=None, survey_id=survey, reasons=lambda _point: nothing
        )
    assert refusal.value.problems
    with reading() as session:
        assert session.scalars(select(ReportJob)).all() == []
