from datetime import timedelta

from django.db import migrations
from django.utils import timezone

from intake.lanes import Lane, rank_of
from intake.search import fork_kind, words_of

OURS = ("handed in", "ready", "workshop only")
ENDED = ("closed", "withdrawn")
AT_ONCE = 500
FIELDS = ("turn_since", "due_at", "returned", "rank", "fork_kind")


def give_places(apps, editor):
    """Put every case into the queue's new order, as if it had come into its state with both clocks at nought."""
    Case, Round, CaseWords = (apps.get_model("intake", name) for name in ("Case", "Round", "CaseWords"))
    now, last = timezone.now(), 0
    while cases := list(Case.objects.filter(pk__gt=last).select_related("shop").order_by("pk")[:AT_ONCE]):
        last = cases[-1].pk
        newest = {round.case_id: round for round in Round.objects.filter(case__in=cases).order_by("number")}
        for case in cases:
            place(case, newest.get(case.pk), now)
        Case.objects.bulk_update(cases, FIELDS)
        CaseWords.objects.bulk_create(
            [CaseWords(case=case, words=words_of(case, newest[case.pk].document if case.pk in newest else {}))
             for case in cases], ignore_conflicts=True)


def place(case, round, now):
    case.turn_since = case.state_since
    case.fork_kind = fork_kind(round.document) if round else ""
    if case.state not in OURS:
        case.rank = rank_of(Lane.ENDED if case.state in ENDED else Lane.RIDER, case.state_since)
        return
    case.returned = "next round" if round and round.number > 1 else ""
    hours = 1 if case.stop else 2 if case.shop_id else 48 if case.returned else 24
    case.due_at = case.state_since + timedelta(hours=hours)
    lane = (Lane.STOP if case.stop else Lane.OVERDUE if case.due_at < now
            else Lane.RETURNED if case.returned else Lane.WAITING)
    case.rank = rank_of(lane, case.due_at)


class Migration(migrations.Migration):

    dependencies = [
        ('intake', '0007_words_are_searched'),
    ]

    operations = [
        migrations.RunPython(give_places, migrations.RunPython.noop, elidable=True),
    ]
