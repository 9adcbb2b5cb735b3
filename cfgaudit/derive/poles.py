"""Motor poles: from electrical to mechanical revolutions, and what a wrong count does to them.

A motor with n magnets (poles) turns once mechanically while its field turns n / 2 times. The pole
count is that of the magnets on the bell, not of the wound stator teeth: 14 in the common 12-tooth
motor.

Source: textbook definitions; 7 pole pairs for 14 magnets confirmed in the documentation of the
Rust crate ``dshot-codec``.
"""

from __future__ import annotations


def pole_pairs(poles: int) -> int:
    """Pairs of magnets. ValueError if the count is odd or below 2: no motor is built so."""
    if poles < 2 or poles % 2:
        raise ValueError(f"{poles} poles: magnets come in pairs")
    return poles // 2


def erpm_of(rpm: float, poles: int) -> float:
    """Electrical revolutions per minute of a motor that turns at ``rpm``. Errors: pole_pairs."""
    return rpm * pole_pairs(poles)


def rpm_of(erpm: float, poles: int) -> float:
    """Mechanical revolutions per minute from electrical ones. Errors: pole_pairs."""
    return erpm / pole_pairs(poles)


def no_load_rpm(kv: float, volts: float) -> float:
    """Revolutions per minute without a propeller: kv (rpm per volt) × volts. No motor goes faster."""
    return kv * volts


def per_second(per_minute: float) -> float:
    """Revolutions per minute as Hz."""
    return per_minute / 60


def distortion(set_poles: int, true_poles: int) -> float:
    """Figured rpm ÷ real rpm when ``set_poles`` is configured for a motor with ``true_poles``.

    1 is right; 12 set for 14 gives 7/6: every rpm reads, and every rpm filter sits, a sixth too
    high. Errors: pole_pairs.
    """
    return pole_pairs(true_poles) / pole_pairs(set_poles)
