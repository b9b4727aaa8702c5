"""How far metals grow, and what is taken for granted about it."""

EXPANSIONS = {  # 1e-6 per K, about room temperature; usual handbook values, from memory
    "aluminium": 23.0,
    "magnesium": 26.0,
    "cast iron": 10.5,
    "steel": 11.5,
}
EXPANSION_WITHIN = 0.1  # of what an alloy may differ from its kind; common practice, no source
THERMOMETER_WITHIN_K = 3.0  # of a part's temperature, felt or read; common practice, no source
WHEEL_SHARE, WHEEL_SHARE_WITHIN = 0.5, 0.25  # of the width that lies on the wheel's side
