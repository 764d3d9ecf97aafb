"""Every text of the view that the sheets do not share: English, German, Dutch."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ViewWords:
    """All texts of the view in one language. `lang` is the language's tag (BCP 47)."""

    lang: str
    no_script: str
    sections: str
    invented: str

    nav_job: str
    nav_cut: str
    nav_rough: str
    nav_join: str
    nav_solid: str
    nav_pieces: str
    nav_order: str

    cautions_title: str
    lifts_title: str
    notes_title: str
    drawing: str
    date: str
    workshop: str
    wire: str
    wire_value: str
    kerf: str
    kerf_value: str
    allowance: str
    blocks: str
    blocks_value: str
    blocks_open: str
    pieces: str
    time: str
    time_value: str
    waste: str
    waste_value: str
    price: str

    layout: str
    layout_about: str
    piece_about: str
    picture_of_layout: str
    zoom_in: str
    zoom_out: str
    zoom_all: str
    key_to_come: str
    key_done: str
    key_now: str
    key_air: str
    key_offcut: str
    step_of: str
    step_slider: str
    back: str
    play: str
    pause: str
    next: str
    speed: str
    speed_real: str
    speed_times: str
    wire_caution: str
    all_steps: str
    tick_piece: str

    shown: str
    form_shown: str
    whole_shown: str
    picture_of_solid: str
    solid_hint: str
    turn_left: str
    turn_right: str
    turn_up: str
    turn_down: str
    turn_front: str
    show_before: str
    show_after: str
    show_form: str

    form: str
    picture_of_roughing: str
    cutting_plane: str
    picture_of_cutting_plane: str
    cut_of: str
    all_cuts: str
    cut_title: str
    cut_kinds: tuple[tuple[str, str], ...]
    cut_turn: str
    cut_stands: tuple[tuple[str, str], ...]
    """By the face a block stands on: that it does."""
    cut_tilt: str
    cut_wire: str
    cut_off: str
    cut_mirrored: str
    cut_lift: str
    cut_lift_more: str
    mark_heads: tuple[str, str, str]
    mark: str
    mark_flat: str
    faces: tuple[tuple[str, str], ...]
    rough_way: str
    rough_off: str
    rough_off_value: str
    rough_left: str
    rough_left_value: str

    ticked: str
    ticks_lost: str
    clear_ticks: str
    clear_sure: str

    order_heads: tuple[str, ...]
    order_total: str
    offcuts_title: str
    offcuts_none: str
    offcut_heads: tuple[str, ...]

    join_form: str
    join_weight: str
    load_step: str
    load_place: str
    join_key: str
    picture_of_joining: str
