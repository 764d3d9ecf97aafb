"""What is printed for people: the name of every text, and what each language must give."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """All texts of the sheets in one language."""

    # Title strip
    sheet_of: str
    scale: str
    no_scale: str
    invented_strip: str

    # Front page
    front_title: str
    front_more_title: str
    invented: str
    drawing: str
    drawing_contours: str
    dated: str
    workshop: str
    cutting: str
    cutting_fitted: str
    cutting_estimate: str
    allowance: str
    order_title: str
    order_heads: tuple[str, ...]
    order_total: str
    order_none: str
    order_note: str
    rack_title: str
    rack_heads: tuple[str, ...]
    rack_note: str
    size: str
    foam_title: str
    foam_heads: tuple[str, ...]
    foam_pieces: str
    foam_offcuts: str
    foam_kerf: str
    foam_trim: str
    foam_scrap: str
    foam_bought: str
    foam_rack: str
    foam_taken: str
    foam_waste: str
    bound: str
    bound_met: str
    bound_open: str
    bound_price: str
    bound_hands: str
    """Beside `bound_price`, where hands that set blocks up were counted."""
    carve: str
    work_title: str
    wire_total: str
    wire_split: str
    slab_cuts_length: str
    time: str
    price_heads: tuple[str, ...]
    price_foam: str
    price_delivery: str
    price_labour: str
    price_total: str
    cautions_title: str
    cautions: tuple[tuple[str, str], ...]
    lifts_title: str
    lifts_none: str
    lift_block: str
    lift_piece: str
    lift_two: str
    lift_more: str
    repairs_title: str
    repairs_none: str
    note_repair: str
    note_ignored: str
    note_warning: str
    at_place: str
    counts_title: str
    counts_heads: tuple[str, ...]
    pieces_title: str
    pieces_heads: tuple[str, ...]
    pieces_note: str
    misses: str
    miss_at: str
    stops: str
    stops_at: str
    offcuts_title: str
    offcuts_heads: tuple[str, ...]
    offcuts_none: str
    offcuts_note: str
    sheets_title: str
    sheets_heads: tuple[str, ...]

    # The whole
    assembly_title: str
    assembly_layer_title: str
    assembly_forms: str
    assembly_heads: tuple[str, ...]
    assembly_total: str

    # Putting together
    gluing_title: str
    gluing_layer_title: str
    gluing_steps_title: str
    gluing_key: str
    gluing_seams: str
    gluing_note: str
    gluing_heads: tuple[str, ...]
    gluing_pair: str
    gluing_at: str
    gluing_none: str
    gluing_pins: str
    gluing_no_pins: str
    gluing_no_pins_layer: str
    gluing_rounded: str
    gluing_one_pin: str
    faces_title: str
    faces_note: str
    face_head: str
    face_height: str
    face_dry: str
    face_pins: str
    face_apart: str
    key_face: str
    key_face_lower: str
    key_boards: str
    pins_title: str
    pins_note: str
    pins_first: str
    pins_heads: tuple[str, ...]
    pins_front: str
    pins_back: str
    gluing_strips: str
    gluing_strips_note: str
    gluing_strips_heads: tuple[str, ...]
    gluing_strips_none: str
    gluing_caution: str
    gluing_glue: str
    gluing_any_glue: str
    gluing_label: str
    gluing_minutes: str
    gluing_how: tuple[str, ...]
    gluing_how_layers: str
    gluing_how_carved: str
    gluing_dowels: str
    gluing_dowel: str
    gluing_step_weight: str
    gluing_step_under: str
    gluing_done: str
    gluing_at_home: str
    gluing_on_site: str
    gluing_step: str
    gluing_step_pins: str
    gluing_step_strips: str
    gluing_step_no_pins: str
    gluing_step_no_pins_layer: str
    """Of full-round forms."""
    gluing_lump: str
    up_mark: str
    front_mark: str
    back_mark: str
    up_missing: str

    # The van
    load_title: str
    load_about: str
    load_opening: str
    load_how: tuple[str, ...]
    load_above: str
    load_side: str
    load_ends: str
    load_dashed: str
    load_hidden: str
    load_list: str
    load_heads: tuple[str, ...]

    # Blocks and slabs
    block: str
    slab: str
    piece: str
    piece_named: str
    slabs_title: str
    slabs_steps: tuple[str, ...]
    slabs_heads: tuple[str, ...]
    slabs_which_blocks: str
    slabs_caution: str
    slabs_rest: str
    slabs_trim: str
    slabs_layout: str
    slabs_uses: str
    slabs_use: str
    datum_face: str
    along_edge: str

    # Cut first or glue first
    ways_title: str
    ways_labels: tuple[str, ...]
    way_cut_first: str
    way_glue_first: str
    ways_note: str
    ways_same: str
    way_cannot: str
    blank: str
    blank_title: str
    blank_layer: str
    blank_about: str
    blank_steps: tuple[str, ...]
    blank_crossed: str
    blank_strips: str
    blank_loose: str
    blank_heads: tuple[str, ...]
    blank_seams: str
    blank_edge: str
    blank_flat: str
    blank_thick: str
    blank_first: str
    blank_lift: str
    key_edge: str
    key_main_seam: str
    key_across: str
    key_pin: str
    key_pin_through: str
    key_behind: str
    key_hatched: str
    key_contour: str
    key_glue: str
    key_dry: str
    key_later: str
    key_seam: str

    # Layout
    alike_name: str
    alike_title: str
    alike_heads: tuple[str, ...]
    layout_title: str
    layout_steps_title: str
    layout_squares_title: str
    about_block: str
    about_rack: str
    about_odd: str
    about_kerf: str
    about_estimate: str
    about_slow: str
    about_slots: str
    about_loops: str
    about_allowance: str
    about_cut_finished: str
    about_rounding: str
    about_shape: str
    key_wire: str
    key_way: str
    key_finished: str
    key_cut_finished: str
    key_waste: str
    key_offcut: str
    key_trim: str
    key_blocked: str
    key_clamp: str
    key_waits: str
    key_foam_edge: str
    key_step: str
    key_in: str
    key_datum: str
    key_thread: str
    key_seam_mark: str
    key_up: str
    key_far: str
    thread_mark: str
    in_mark: str
    offcut_mark: str
    list_only: str
    places_title: str
    places_heads: tuple[str, ...]
    from_to: str
    squares_are: str
    turned: str
    flipped: str
    taper_title: str
    taper_intro: tuple[str, ...]
    taper_face_down: str
    taper_picture: str
    taper_note: str
    taper_heads: tuple[str, ...]

    # Steps
    steps_title: str
    steps_begin: str
    steps_begin_level: str
    steps_caution: str
    steps_thread_caution: str
    edges: tuple[str, str, str, str]
    across: str
    up: str
    step_in: str
    step_in_first: str
    step_air: str
    step_from_waiting: str
    step_to_waiting: str
    step_thread: str
    step_thread_in: str
    step_unthread: str
    step_way: str
    step_way_to_hole: str
    step_slit: str
    step_round: str
    step_round_hole: str
    step_along: str
    step_along_hole: str
    step_on: str
    step_on_hole: str
    step_round_rest: str
    step_last: str
    step_round_rest_hole: str
    step_run_on: str
    step_taper: str
    step_free: str
    step_free_heavy: str
    step_hold: str
    step_parting: str
    step_draw_out: str
    step_scar: str
    step_thin: str
    step_plug: str
    step_back_to: str
    step_back_to_hole: str
    step_back: str
    step_out: str
    clockwise: str
    anticlockwise: str

    # Setting out by squares
    squares_intro: tuple[str, ...]
    squares_heads: tuple[str, ...]
    squares_line: str
    squares_near: str
    squares_far: str
    squares_hole: str
