"""Everything that can be done with a case.  Keyword-only functions; pages, API and commands all come through here."""
from intake.access import case_for
from intake.events import record_event
from intake.links import (
    ask_for_link,
    case_for_token,
    enter,
    mail_asked_link,
    mail_link,
    new_link,
    renew_link,
    revoke_links,
)
from intake.services.answers import (
    Clash,
    replace_document,
    replaced_answers,
    save_answers,
    save_changes,
    save_kept_answers,
)
from intake.services.closing import (
    GRADES,
    NEVER_HEARD,
    PROOFS,
    SOMETHING_ELSE,
    TEACHES,
    close_case,
    correct_outcome,
    outcomes,
)
from intake.services.erasing import erase_case, erased
from intake.services.handing_in import JobKnown, check_document, hand_in, hand_in_job
from intake.services.holding import (
    NOTE_LINES,
    Held,
    checked_note,
    colleagues,
    give_back,
    hand_over,
    holder_of,
    newest_note,
    refuse_held,
    stay,
    take_case,
    take_next,
)
from intake.services.offering import confirm_offers, offer_earlier
from intake.services.reminding import (
    case_of_reminder_key,
    go_quiet,
    reminder_key,
    save_time_zone,
    set_reminders,
)
from intake.services.rounds import (
    ask_rider,
    mark_advised,
    open_next_round,
    record_assessment,
    take_back_advice,
    withdraw,
)
from intake.services.shops import (
    add_shop_token,
    end_shop_user,
    named_shop,
    new_shop_token,
    new_shop_user,
    revoke_shop_token,
    revoke_token,
    rotate_shop_token,
    shop_of,
    token_of,
)
from intake.services.starting import save_contact, save_language, start_case, start_case_once
from intake.services.tables import check_table, confirm_table, table_of

__all__ = [
    "GRADES", "NEVER_HEARD", "NOTE_LINES", "PROOFS", "SOMETHING_ELSE", "TEACHES", "Clash", "Held", "JobKnown",
    "add_shop_token", "ask_for_link", "ask_rider", "case_for", "case_for_token", "case_of_reminder_key",
    "check_document", "check_table", "checked_note", "close_case", "colleagues", "confirm_offers", "confirm_table",
    "correct_outcome", "end_shop_user", "enter", "erase_case", "erased", "give_back", "go_quiet", "hand_in",
    "hand_in_job", "hand_over", "holder_of", "mail_asked_link", "mail_link", "mark_advised", "named_shop", "new_link",
    "new_shop_token", "new_shop_user", "newest_note", "offer_earlier", "open_next_round", "outcomes",
    "record_assessment", "record_event", "refuse_held", "reminder_key", "renew_link", "replace_document",
    "replaced_answers", "revoke_links", "revoke_shop_token", "revoke_token", "rotate_shop_token", "save_answers",
    "save_changes", "save_contact", "save_kept_answers", "save_language", "save_time_zone", "set_reminders", "shop_of",
    "start_case", "start_case_once", "stay", "table_of", "take_back_advice", "take_case", "take_next", "token_of",
    "withdraw",
]
