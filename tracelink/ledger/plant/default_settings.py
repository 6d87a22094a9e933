"""The settings a ledger starts with; a plant file may set each to its own value and source."""

from __future__ import annotations

from tracelink.ledger.kinds import setup

DEFAULT_SETTINGS = (
    setup.Setting("rest_minutes", 0, "common practice is 24 hours for heavy discs; 0 switches the rule off"),
    setup.Setting("run_length", 250, "matches to one sealed entry; a choice of this program"),
    setup.Setting(
        "line_reasons", 1, "a packing line asks why for rejects and part cartons; 0 switches it off"
    ),
    setup.Setting(
        "typed_reasons",
        1,
        "0 takes only the plant's reason cards where there are cards for an act; a choice of the plant",
    ),
    setup.Setting(
        "decimal_comma",
        0,
        "1 reads measured values, readings and amounts of steps with a comma, as 141,2; a choice of the plant",
    ),
    setup.Setting("chart_rules", 1, "run rules of charts: 1 Western Electric, 2 Nelson; both published sets"),
    setup.Setting("chart_baseline_points", 20, "points that a baseline of a chart needs; common practice"),
    setup.Setting("capability_values", 30, "values that a capability needs; common practice"),
    setup.Setting(
        "ewma_weight_percent", 20, "EWMA charts: weight of the newest value; 5 to 25 is common practice"
    ),
    setup.Setting(
        "ewma_limit_percent", 300, "EWMA charts: limits, hundredths of a standard deviation; common practice"
    ),
    setup.Setting(
        "cusum_slack_percent", 50, "CUSUM charts: slack, hundredths of a standard deviation; common practice"
    ),
    setup.Setting(
        "cusum_limit_percent", 500, "CUSUM charts: limit, hundredths of a standard deviation; common practice"
    ),
    setup.Setting(
        "double_read_seconds",
        2,
        "the same code once more within this time is one read; common practice, 0 switches it off",
    ),
    setup.Setting(
        "check_units",
        100,
        "a line asks for CHECK by a second person after so many units; common practice, 0 switches it off",
    ),
    setup.Setting(
        "sign_off_minutes",
        0,
        "a station signs off whoever has scanned nothing for so long; 15 is common practice, 0 signs nobody off",
    ),
    setup.Setting(
        "away_hours",
        0,
        "how old the copy may be by which a line packs on while the ledger is away; a choice of the plant, 0 lets no line do so",
    ),
    setup.Setting(
        "label_symbols",
        1,
        "2 asks for both symbols of a carton label where a line opens it and a dock puts it on a pallet; a choice of the plant",
    ),
    setup.Setting("cartons_per_pallet", 0, "a full pallet; a choice of the plant, 0 switches the rule off"),
    setup.Setting(
        "mixed_pallets", 1, "1 lets a pallet hold several titles, with a note; a choice of the plant"
    ),
    setup.Setting("oldest_first", 1, "orders are served from the oldest lot; common practice"),
    setup.Setting(
        "ship_short_percent", 100, "how much may be missing when a shipment leaves; 100 switches it off"
    ),
    setup.Setting("ship_over_percent", 100, "how much may be sent beyond an order; 10 is common practice"),
    setup.Setting(
        "driver_check",
        0,
        "1 wants the driver's check before a shipment leaves, 2 with a scan of every pallet and loose carton; a choice of the plant",
    ),
    setup.Setting(
        "effect_a_percent",
        100,
        "consignees checked at level A; 21 CFR 7.42(b)(3), a model, not checked against the original text",
    ),
    setup.Setting(
        "effect_b_percent",
        50,
        "consignees checked at level B: over 10 and under 100, case by case; 21 CFR 7.42(b)(3), a model, not "
        "checked against the original text; 50 is a choice of this program",
    ),
    setup.Setting(
        "effect_c_percent",
        10,
        "consignees checked at level C; 21 CFR 7.42(b)(3), a model, not checked against the original text",
    ),
    setup.Setting(
        "effect_d_percent",
        2,
        "consignees checked at level D; 21 CFR 7.42(b)(3), a model, not checked against the original text",
    ),
    setup.Setting(
        "drill_minutes",
        240,
        "4 hours in several food schemes for a trace exercise; common practice, not checked against the original text",
    ),
    setup.Setting("label_limit_permille", 10, "0.5 to 1 % for paper counted by weight is common practice"),
    setup.Setting("serial_limit_permille", 0, "0 for serialised labels is common practice"),
    setup.Setting("hopper_g", 0, "what the hopper of a press holds, grams; 0 follows no compound through it"),
    setup.Setting(
        "hopper_tanks",
        1,
        "how many stirred tanks in a row that hopper is like, 1 to 100; 1 is stirred as a whole, a choice of this program",
    ),
    setup.Setting(
        "disc_g",
        0,
        "grams of compound to one disc, trim included; 140 to 180 is common practice, 0 follows none",
    ),
    setup.Setting(
        "carry_over_permille",
        10,
        "share of an old compound lot that is still followed; a choice of this program",
    ),
    setup.Setting(
        "blend_loss_permille",
        20,
        "share of what goes into a blend that may be missing of what is made without a reason; a choice of this program",
    ),
    setup.Setting(
        "badge_pin", 1, "a station asks whoever has a PIN for it; a choice of this program, 0 asks nobody"
    ),
    setup.Setting("pin_free_attempts", 3, "wrong PINs in a row that cost no wait; a choice of this program"),
    setup.Setting(
        "pin_wait_seconds", 30, "after one more, then twice as long each time; a choice of this program"
    ),
    setup.Setting("pin_longest_wait_seconds", 3600, "a choice of this program"),
    setup.Setting(
        "pin_most_attempts",
        100,
        "then the PIN is blocked; NIST SP 800-63B 5.2.2 (not checked against the original text), 0 switches it off",
    ),
    setup.Setting(
        "label_weighing_permille", 5, "how far a weighed count of labels may be off; common practice"
    ),
    setup.Setting(
        "sampling_end_rejected",
        5,
        "lots rejected on tightened inspection before it ends; MIL-STD-105E 4.8, ANSI/ASQ Z1.4 8.4, 0 switches it off",
    ),
    setup.Setting(
        "sampling_end_tightened",
        0,
        "lots in a row on tightened inspection before it ends; MIL-STD-105D had 10, from memory, 0 switches it off",
    ),
    setup.Setting(
        "sampling_reduced_after",
        0,
        "lots released in a row before inspection is reduced; MIL-STD-105E 4.7.3 has 10, 0 switches it off",
    ),
    setup.Setting(
        "late_entry_minutes", 60, "an entry recorded later than this after its event is late; common practice"
    ),
    setup.Setting(
        "clock_back_minutes",
        1,
        "a recording time further than this before the one before it is told; common practice",
    ),
    setup.Setting(
        "clock_ahead_days",
        30,
        "so long without an entry is told, and longer than plants close in a year; common practice",
    ),
)
"""Settings that a plant file may override, with where the value comes from; a ledger older than one uses it too."""


EFFECT_SHARES = ("effect_a_percent", "effect_b_percent", "effect_c_percent", "effect_d_percent")
"""Settings with the share of recipients that is asked at a level of effectiveness checks, A to D; E asks none."""
