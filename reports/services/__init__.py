"""What can be done with drafts, letters and deliveries.  Pages, API, worker and commands all come through here."""
from reports.services.base_rates import (
    current_rates,
    make_rates_count,
    proposed_rates,
    take_back_rates,
)
from reports.services.blocks import insert_own_words, keep_number, settle_block, take_all_numbers, take_number
from reports.services.choosing import choose_numbers, judge, judged_title, take_back_judgement
from reports.services.correcting import replace_letter
from reports.services.deliveries import (
    UNDO,
    deliver,
    queue_delivery,
    retry_delivery,
    send_now,
    settle_unknown,
    take_back_delivery,
)
from reports.services.drafting import draft_round, try_again
from reports.services.fees import fee_of, move_fee, quote_fee, shown_fee
from reports.services.hooks import (
    add_hook,
    dead_sendings,
    end_hook,
    hook_of,
    send_again,
    send_hook,
    sending_of,
    tell_hooks,
    try_hook,
)
from reports.services.letters import approve, check_settled, draft_on_offer, withdraw_approval
from reports.services.outcomes import record_outcome, told_first
from reports.services.own_words import delete_own_words, save_own_words
from reports.services.reminding import plan_reminders, queue_reminder, remind
from reports.services.saved_views import delete_view, rename_view, save_view
from reports.services.second_factor import (
    begin_factor,
    codes_left,
    confirm_factor,
    factor_of,
    forget_factor,
    pass_factor,
)
from reports.services.shelf import keep_sheet, link_sheet, newer_than, retire_sheet, take_rows, unlink_sheet
from reports.services.travel_logs import (
    add_travel_log,
    read_travel_log,
    recording,
    remove_travel_log,
)
from reports.services.versions import (
    blocks_of,
    edit_blocks,
    edit_letter,
    fresh_draft,
    is_stale,
    keep_words,
    text_of,
    use_new_draft,
)

__all__ = [
    "UNDO", "add_hook", "add_travel_log", "approve", "begin_factor", "blocks_of", "check_settled", "choose_numbers",
    "codes_left", "confirm_factor", "current_rates", "dead_sendings", "delete_own_words", "delete_view", "deliver",
    "draft_on_offer", "draft_round", "edit_blocks", "edit_letter", "end_hook", "factor_of", "fee_of", "forget_factor",
    "fresh_draft", "hook_of", "insert_own_words", "is_stale", "judge", "judged_title", "keep_number", "keep_sheet",
    "keep_words", "link_sheet", "make_rates_count", "move_fee", "newer_than", "pass_factor", "plan_reminders",
    "proposed_rates", "queue_delivery", "queue_reminder", "quote_fee", "read_travel_log", "record_outcome", "recording",
    "remind", "remove_travel_log", "rename_view", "replace_letter", "retire_sheet", "retry_delivery", "save_own_words",
    "save_view", "send_again", "send_hook", "send_now", "sending_of", "settle_block", "settle_unknown", "shown_fee",
    "take_all_numbers", "take_back_delivery", "take_back_judgement", "take_back_rates", "take_number", "take_rows",
    "tell_hooks", "text_of", "told_first", "try_again", "try_hook", "unlink_sheet", "use_new_draft",
    "withdraw_approval",
]
