from datetime import UTC, datetime, timedelta
from pathlib import Path

from jobs.backups import rotation
from jobs.backups.rotation import DAYS, MONTHS, NEWEST, WEEKS, name_of, superfluous


def files(*times: datetime) -> list[Path]:
    return [Path(name_of(at, locked=False)) for at in sorted(times, reverse=True)]


def test_of_three_years_of_evenings_days_weeks_and_months_stay():
    last = datetime(2026, 9, 20, 19, 30, tzinfo=UTC)
    every = files(*(last - timedelta(days=n) for n in range(3 * 365)))
    kept = [file for file in every if file not in superfluous(every)]
    assert kept[:DAYS] == every[:DAYS]
    months = {rotation.made_at(file).strftime("%Y-%m") for file in kept}
    assert len(months) == MONTHS
    # Days and weeks overlap with each other and with months; none is counted twice.
    assert DAYS + MONTHS - 1 <= len(kept) <= DAYS + WEEKS + MONTHS


def test_the_newest_stay_also_when_all_are_of_one_day():
    noon = datetime(2026, 9, 20, 12, tzinfo=UTC)
    every = files(*(noon + timedelta(minutes=n) for n in range(9)))
    assert superfluous(every) == every[NEWEST:]


def test_files_of_others_are_left_alone(tmp_path):
    for name in ("paddock-notes.tar.gz", "holiday.tar", "paddock-20260920T193000Z.tar.gz.part"):
        (tmp_path / name).touch()
    ours = tmp_path / "paddock-20260920T193000Z.tar"
    ours.touch()
    assert rotation.backups_in(tmp_path) == [ours]
