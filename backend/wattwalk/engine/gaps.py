"""Every gap of a survey: what it lacks, and what shows only once it has been worked out."""

from __future__ import annotations

from wattwalk.survey.building import Surface
from wattwalk.survey.constructions import Construction
from wattwalk.survey.document import Survey
from wattwalk.survey.gaps import Gap, find_gaps, stage_of
from wattwalk.survey.purposes import HEAT_LOSS

from .answers import Assessment
from .assess import assess

#: The code of the finding and of the gap: something that surfaces are made of has no U-value.
NO_U_VALUE = "no_u_value"


def gaps_of(survey: Survey) -> tuple[Gap, ...]:
    """Return every gap of a survey that has not been worked out yet: the one count that a list, a page and a report give of it."""
    return every_gap(survey, assess(survey))


def every_gap(survey: Survey, assessed: Assessment) -> tuple[Gap, ...]:
    """Return the gaps of a survey, those last that the engine alone knows of: a construction in use, or the usual one of its kind, that gives no U-value.

    Parameters
    ----------
    survey : Survey
        The survey as it stands.
    assessed : Assessment
        What was worked out of it.
    """
    gaps = find_gaps(survey)
    known = {(gap.kind, gap.record, gap.field) for gap in gaps}
    used = {surface.construction for surface in survey.of_kind(Surface)}
    more = []
    for finding in assessed.findings:
        kind, _, record_id = finding.record.partition("/")
        if finding.code != NO_U_VALUE or (kind, record_id, finding.field) in known:
            continue
        record = survey.record_named(kind, record_id)
        # One that is the usual of its kind will be used; what is neither usual nor used yet may wait.
        if record is None or (isinstance(record, Construction) and record_id not in used and not record.is_usual):
            continue
        spec = record.kind.field(finding.field) if finding.field and record.kind.has(finding.field) else None
        more.append(
            Gap(
                stage=record.kind.stage if spec is None else stage_of(record.kind, spec),
                kind=kind,
                record=record_id,
                field=finding.field,
                parent=None,
                purpose=HEAT_LOSS.name,
                words=f"{record.title}: {'no U-value' if spec is None else spec.label}",
                spoils=f"{finding.message} Until it has one, its rooms cannot be worked out.",
                code=NO_U_VALUE,
            )
        )
    return (*gaps, *more)
