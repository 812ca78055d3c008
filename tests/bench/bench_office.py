"""What an office of 2,000 surveys costs just after a start: its list, what is new in it, and how far each survey is.

The aims: nothing new under 1 kB and 10 ms, a page of states under 300 ms while nothing is counted yet.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from sqlalchemy import delete, select, text

from tests.support import postgres
from tests.support.cast import ADA, Office, change, open_office
from wattwalk.database import reading, writing
from wattwalk.demo.house import house
from wattwalk.models import GapCount, User
from wattwalk.survey.document import read_document
from wattwalk.sync.documents import import_document

SURVEYS = 2_000


def fill(office: Office) -> None:
    """Put the demo's house in once, and copies of its rows under other ids."""
    survey = read_document(house())
    with office.app.app_context():
        with reading() as session:
            firm_id = session.scalars(select(User.firm_id).where(User.email == ADA.email)).one()
        import_document(survey, firm_id=firm_id, user_id=None, photos=office.settings.photos)
        with writing() as session:
            for place in range(1, SURVEYS):
                given = {"new": f"copy-{place}", "old": survey.id, "moved": place + 1}
                session.execute(
                    text(
                        "INSERT INTO survey (id, firm_id, revision, shared_revision, made_at, changed_at, moved) SELECT :new, firm_id, revision, 0, made_at, changed_at, :moved FROM survey WHERE id = :old"
                    ),
                    given,
                )
                session.execute(
                    text(
                        "INSERT INTO record (survey_id, id, kind, made_revision, is_deleted, values_json, marks_json) SELECT :new, id, kind, made_revision, is_deleted, values_json, marks_json FROM record WHERE survey_id = :old"
                    ),
                    given,
                )
            session.execute(text("UPDATE list_counter SET moved = :moved"), {"moved": SURVEYS + 1})


def measure(office: Office) -> None:
    """Print what each question costs."""
    client = office.device(ADA).client

    def ask(words: str, path: str, turns: int = 1) -> dict:
        took, length, packed = [], 0, 0
        for _ in range(turns):
            began = time.perf_counter()
            answer = client.get(path)
            took.append((time.perf_counter() - began) * 1000)
            length = len(answer.get_data())
        packed = len(client.get(path, headers={"Accept-Encoding": "gzip"}).get_data()) if length > 1000 else length
        print(f"  {words}: {median(took):7.1f} ms, {length:9,} bytes, {packed:9,} packed")
        return answer.json

    ask("the whole list, as phones asked before", "/api/surveys", 3)
    first = ask("the list from its beginning, one page ", "/api/surveys?since=0", 3)
    cursor = first["cursor"]
    while first["more"]:
        first = client.get(f"/api/surveys?since={cursor}").json
        cursor = first["cursor"]
    ask("nothing new                           ", f"/api/surveys?since={cursor}", 30)
    ask("health                                ", "/api/health", 30)
    office.device(ADA).client.post(
        "/api/surveys/copy-7/changes", json={"device": "phone", "changes": [change(field="name", value="Kitchen")]}
    )
    ask("one survey changed                    ", f"/api/surveys?since={cursor}", 30)
    with office.app.app_context(), writing() as session:
        session.execute(delete(GapCount))
    pages = ask("states, nothing counted, one page     ", "/api/survey-states?since=0")
    uncounted = sum(1 for state in pages["surveys"] if state["gaps"] is None)
    print(f"    of {len(pages['surveys'])} there, {uncounted} not yet counted")
    ask("states, as the screen of before asked ", "/api/survey-states")


def main() -> None:
    """Measure both makes of database."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        print("SQLite")
        with open_office(f"sqlite:///{home / 'wattwalk.sqlite3'}", home) as office:
            fill(office)
            measure(office)
        print("PostgreSQL")
        with (
            postgres.own_cluster() as cluster,
            postgres.fresh_database(cluster) as url,
            open_office(url, home) as office,
        ):
            fill(office)
            measure(office)


if __name__ == "__main__":
    main()
