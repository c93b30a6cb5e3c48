"""What can be done with drafts, letters and deliveries.  Pages, API, worker and commands all come through here."""
from reports.services.choosing import choose_numbers, judge, judged_title, take_back_judgement
from reports.services.deliveries import deliver, queue_delivery, retry_delivery, settle_unknown
from reports.services.drafting import draft_round, try_again
from reports.services.letters import (
    approve,
    draft_on_offer,
    edit_letter,
    fresh_draft,
    is_stale,
    keep_words,
    text_of,
    use_new_draft,
    withdraw_approval,
)
from reports.services.reminding import plan_reminders, queue_reminder, remind
from reports.services.saved_views import delete_view, rename_view, save_view
from reports.services.travel_logs import (
    add_travel_log,
    read_travel_log,
    recording,
    remove_travel_log,
)

__all__ = [
    "add_travel_log", "approve", "choose_numbers", "delete_view", "deliver", "draft_on_offer", "draft_round",
    "edit_letter", "fresh_draft", "is_stale", "judge", "judged_title", "keep_words", "plan_reminders",
    "queue_delivery", "queue_reminder", "read_travel_log", "recording", "remind", "remove_travel_log", "rename_view",
    "retry_delivery", "save_view", "settle_unknown", "take_back_judgement", "text_of", "try_again", "use_new_draft",
    "withdraw_approval",
]
