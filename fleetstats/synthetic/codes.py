"""Symptoms and items of the invented fleet, in the words of the trade; the codes are those of the vocabulary."""

from __future__ import annotations

SYMPTOMS: dict[str, dict[str, float]] = {
    "leak": {"SYM_AMMONIA": 0.6, "SYM_RESIDUE": 0.4},
    "no cooling": {"SYM_NOCOOL": 0.7, "SYM_NOCOOL_AC": 0.18, "SYM_NOCOOL_LP": 0.12},
    "weak": {"SYM_WEAK": 0.35, "SYM_BOXWARM": 0.35, "SYM_SLOW": 0.15, "SYM_HOTAMB": 0.15},
    "other": {"SYM_INTERMIT": 0.65, "SYM_GURGLE": 0.35},
}
"""Codes of each symptom group, with their weights."""

COOLING_ITEMS: dict[str, dict[str, float]] = {
    "leak": {"OP_USE": 1.0},
    "no cooling": {"HE_AC": 0.30, "CT_BOARD": 0.20, "LP_BURNER": 0.18, "EL_FUSE": 0.10, "EL_WIRE": 0.10, "CT_CUTOUT": 0.05, "OP_LEVEL": 0.07},
    "weak": {"HE_AC": 0.15, "LP_BURNER": 0.15, "LP_JET": 0.10, "VN_VENT": 0.18, "FN_REAR": 0.17, "CB_GASKET": 0.12, "CT_SENSOR": 0.06,
             "OP_LEVEL": 0.07},
    "other": {"EL_WIRE": 0.35, "OP_LEVEL": 0.30, "LP_REG": 0.20, "CT_BOARD": 0.15},
}
"""Items outside the unit behind a complaint about cooling, by symptom group."""

STALL_ITEMS = ("OP_LEVEL", "HE_AC", "VN_VENT")
"""Where the cause of a stall lies."""

OTHER_FAULTS: dict[tuple[str, str], float] = {
    ("SYM_NOLIGHT", "LP_IGNITER"): 0.22, ("SYM_FLAMEOUT", "LP_FLAMESENSE"): 0.22, ("SYM_ERRCODE", "CT_DISPLAY"): 0.12, ("SYM_DOOR", "CB_GASKET"): 0.14,
    ("SYM_FANNOISE", "FN_REAR"): 0.12, ("SYM_TRIP", "HE_AC"): 0.10, ("SYM_PANEL", "EL_FUSE"): 0.08,
}
"""Complaint and item of faults that do not look like poor cooling."""

PARTS_PRICE = {
    "HE_AC": 62.0, "LP_BURNER": 24.0, "LP_JET": 18.0, "LP_IGNITER": 55.0, "LP_FLAMESENSE": 34.0, "LP_REG": 70.0, "CT_BOARD": 210.0, "CT_DISPLAY": 180.0,
    "CT_SENSOR": 29.0, "CT_CUTOUT": 45.0, "EL_FUSE": 6.0, "EL_WIRE": 14.0, "VN_VENT": 32.0, "FN_REAR": 58.0, "CB_GASKET": 85.0, "OP_LEVEL": 0.0, "OP_USE": 0.0,
    "CU_FIT": 12.0, "FRIDGE": 0.0, "NONE": 0.0, "CU": 0.0,
}
"""Price of the parts of a repair, invented, of January 2015, in the shop's own money."""

UNIT_PRICE = {"new": 780.0, "reconditioned": 520.0, "used, tested healthy": 150.0, "own unit put back": 0.0, "own unit reconditioned": 260.0, "unknown": 600.0}
"""Price of a unit of the middle size, likewise."""

FINDINGS = {
    "HE_AC": "FND_HE_OPEN", "LP_BURNER": "FND_LP_BURNER", "LP_JET": "FND_LP_JET", "LP_IGNITER": "FND_LP_SPARK", "LP_FLAMESENSE": "FND_LP_TC",
    "LP_REG": "FND_LP_PLOW",
    "CT_BOARD": "FND_CT_BOARD", "CT_SENSOR": "FND_CT_SENSOR", "CT_CUTOUT": "FND_CT_CUTOUT", "EL_FUSE": "FND_EL_FUSE", "EL_WIRE": "FND_EL_WIRE",
    "VN_VENT": "FND_VN_VENT", "FN_REAR": "FND_FN_REAR", "CB_GASKET": "FND_CB_GASKET", "OP_LEVEL": "FND_OP_LEVEL", "OP_USE": "FND_OP_USE",
}
"""Finding a careful shop codes for an item at fault."""

ACTIONS = {
    "HE_AC": "ACT_HE_REPL", "LP_BURNER": "ACT_LP_SERVICE", "LP_JET": "ACT_LP_JET", "LP_IGNITER": "ACT_LP_IGN", "LP_FLAMESENSE": "ACT_LP_TC",
    "LP_REG": "ACT_LP_REG",
    "CT_BOARD": "ACT_CT_BOARD", "CT_DISPLAY": "ACT_CT_DISPLAY", "CT_SENSOR": "ACT_CT_SENSOR", "CT_CUTOUT": "ACT_CT_CUTOUT_RESET", "EL_FUSE": "ACT_EL_FUSE",
    "EL_WIRE": "ACT_EL_WIRE", "VN_VENT": "ACT_VN_FIX", "FN_REAR": "ACT_FN_REPL", "CB_GASKET": "ACT_CB_GASKET", "OP_LEVEL": "ACT_OP_LEVEL",
    "OP_USE": "ACT_OP_ADVISE",
    "CU_FIT": "ACT_CU_CONTACT", "new": "ACT_CU_SWAP_NEW", "reconditioned": "ACT_CU_SWAP_RECON", "used, tested healthy": "ACT_CU_SWAP_USED",
    "unknown": "ACT_CU_SWAP",
}
"""Action a careful shop codes for an item repaired or a unit fitted."""
