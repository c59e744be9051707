// Written by python -m viewer.page.typing_out from the models of the page: do not edit.

export interface AddMark {
  /** The key of what it is about, with its kind, such as `piece:house_battery`. */
  about?: string;
  kind: "done otherwise" | "measured" | "volt drop" | "hidden joint" | "string left in" | "serial" | "photo" | "done as planned";
  words?: string;
  value?: string;
  photo?: string;
  by?: string;
}

export interface AddPart {
  kind: "space" | "opening" | "solid" | "hazard" | "hole" | "pipe" | "tray";
  label: string;
  fields: Record<string, string>;
  how?: string;
  by?: string;
  seen?: string;
}

export interface AddPiece {
  type: string;
  space: string;
  /** Where, in the hull frame; what is left out is the middle, and the floor. */
  at_mm?: [number | null, number | null, number | null];
  label?: string;
  seen?: string;
}

export interface ArrangeBoard {
  board: string;
  aim?: "" | "plate" | "cable" | "both";
}

export interface ArrangedBoardRow {
  plate_mm: [number, number, number];
  /** The middle of its back, from its space's corner. */
  at_mm: [number, number, number];
  parts: ArrangedPartRow[];
  /** Its links laid square, all together. */
  link_mm: number;
  cost: number;
  bound: number;
  proven_best: boolean;
  aim: string;
  way: string[];
  least_clearance_mm: number | null;
  /** The plain solid whose proven way it has. */
  solid_mm: [number, number] | null;
  /** Parts fitted once it is in. */
  afterwards: string[];
  body: BoxRow[];
  path: PoseRow[];
}

export interface ArrangedPartRow {
  key: string;
  foot: [number, number];
  turn_deg: number;
  low: [number, number, number];
  /** Its outline on the plate. */
  high: [number, number, number];
}

export interface ArrangedRow {
  board: string;
  label: string;
  space: string;
  front: string;
  right: string;
  top: string;
  boards: ArrangedBoardRow[];
  plates: PlateThatGoesRow[];
  thick_mm: number;
  /** The part that cannot pass alone, and the evidence. */
  impossible: [string, string] | null;
  /** Parts that no plate it may be holds. */
  no_room: string[];
  /** Circuits that join two boards in the boat. */
  joined: string[];
  asked: number;
  /** Of the board's own verdict in the boat, every size at the worst end of its ±. */
  worst_end?: string | null;
  /** The size that decides there. */
  decides?: string;
  /** True where more clearance than the job's was asked for, so that it goes at the worst end. */
  roomier?: boolean;
  /** What is to be written in the job: path and value, null for what is to go. */
  sets: ([string[], number | string | string[] | number[] | (string | number)[] | null])[];
}

export interface ArrangedTold {
  found: ArrangedRow;
  heading: string;
  lines: string[];
}

export interface BoatRow {
  length_mm: number;
  beam_mm: number;
  spaces: SpaceRow[];
  openings: OpeningRow[];
  solids: SolidRow[];
  hazards: HazardRow[];
  stands: StandRow[];
  trays: Record<string, [string, string]>;
}

export interface BoxRow {
  key: string;
  centre_mm: [number, number, number];
  half_mm: [number, number, number];
  rotation: [[number, number, number], [number, number, number], [number, number, number]];
}

export interface CableRow {
  number: string;
  label: string;
  feed: string;
  load: string;
  feed_words: string;
  load_words: string;
  amps: number;
  out: string;
  back: string;
  size: string;
  drop: string;
  /** Of how much is allowed. */
  percent: string;
  fuse: string;
  through: string;
  joints: string[];
  reason: string;
  fuse_reason: string;
  parts: PartRow[];
  /** Why its way is longer than the shortest. */
  longer: string[];
  link: boolean;
  mains: boolean;
  signal: boolean;
  good: boolean;
  lines: [number, number, number][][];
}

export interface CablesRow {
  circuits: CableRow[];
  diagram: DiagramRow;
  cuts: CutPiece[];
  cost: string;
  costs: [string, string, string, string][];
}

export interface Catalogue {
  types: TypeCard[];
}

export interface CompareRow {
  here: string;
  there: string;
  groups: [string, Differs[]][];
  sentences: string[];
}

export interface CutPiece {
  cable: string;
  words: string;
  pieces: string[];
  price: string;
}

export interface DecidesRow {
  key: string;
  words: string;
  value_mm: number;
  plus_minus_mm: number;
  how: string;
  effect_mm: number;
  share: number;
}

export interface DeskRow {
  job_file: string;
  hull_file: string;
  job: string;
  hull: string;
  revision: string;
  undo: string;
  redo: string;
  problems: ProblemRow[];
  /** What another program changed, in words; empty where nothing was. */
  elsewhere: string;
  boat: BoatRow | null;
  openings: OpeningShape[];
  joints: JointShape[];
  terminals: TerminalShape[];
  rooms: RoomShape[];
  labels: Record<string, string>;
  sizes: SizeRow[];
  dimensions: DimensionRow[];
  /** The hull file as it is written. */
  hull_tables: Record<string, JsonValue>;
  /** The job file as it is written. */
  job_tables: Record<string, JsonValue>;
  ways_of_measuring: Record<string, number>;
  /** What an edit did, in words. */
  note?: string;
}

export interface DiagramRow {
  nodes: NodeRow[];
  edges: EdgeRow[];
}

export interface Differs {
  about: string;
  what: string;
  here: string;
  there: string;
}

export interface DimensionRow {
  /** What asks for it: `space:locker:x`, `opening:hatch:throat`. */
  key: string;
  words: string;
  /** The key of what it is a size of, with its kind. */
  whose: string;
  axis: number | null;
  from_mm: [number, number, number];
  to_mm: [number, number, number];
  mm: number;
  inches: string;
  plus_minus_mm: number;
  how: string;
  by: string;
  on: string;
  verified: boolean;
  /** The lower, the more it matters. */
  rank: number;
  /** The measured size that alone makes it up; empty where there is none. */
  size_key: string;
}

export interface Done {
  words: string;
}

export interface EdgeRow {
  number: string;
  start: string;
  goal: string;
  words: string;
  good: boolean;
}

export interface EstimateShown {
  sums: [string, string][];
  spread: string;
  unpriced: string[];
  no_way: string[];
  tables: Listed[];
  /** What the job tells of the estimate, by key. */
  told: Record<string, string>;
  /** Every cable hole: its key, what people call it, and whether it is still to be cut. */
  holes: [string, string, boolean][];
}

export interface FileRow {
  name: string;
  href: string;
}

export interface FindingRow {
  rule: string;
  urgency: string;
  about: string[];
  values: Record<string, number | string | string[]>;
}

export interface FindingsRow {
  rows: FoundRow[];
}

export interface FlipRow {
  size: string;
  words: string;
  goes_mm: number | null;
  stops_mm: number | null;
}

export interface FolderRow {
  name: string;
  jobs: JobCard[];
  hulls: HullCard[];
}

export interface FoundRow {
  id: string;
  urgency: string;
  about: string;
  about_keys: string[];
  found: string;
  asks: string;
  rule: string;
  source: string;
  remedy: string;
  /** How many mends there are to try; 0 where a person has to choose. */
  tries: number;
}

export interface FrameRow {
  step: number;
  pose: PoseRow;
  room_mm: number;
  /** What is nearest, in words; empty where nothing is. */
  near: string;
  seat: boolean;
}

export interface FramesRow {
  key: string;
  frames: FrameRow[];
  tightest: number;
}

export interface HazardRow {
  key: string;
  space: string;
  low_mm: [number, number, number];
  high_mm: [number, number, number];
}

export interface HullCard {
  file: string;
  words: string;
}

export interface Into {
  key: string;
  space: string;
  seen?: string;
}

export interface JobCard {
  file: string;
  name: string;
  boat: string;
  words: string;
  /** `good`, `look`, `bad` or `new`. */
  state: string;
}

export interface JointShape {
  key: string;
  kind: string;
  spaces: [string, string];
  points_mm: [number, number, number][];
  bore_mm: number;
}

export type JsonValue = any;

export interface KeepState {
  state: "quoted" | "changed" | "as built";
  why?: string;
  photo?: string;
}

export interface Listed {
  title: string;
  note: string;
  head: string[];
  rows: string[][];
}

export interface MakeSet {
  key: string;
}

export interface Mark {
  number: number;
  about: string;
  kind: string;
  words: string;
  value: string;
  photo: string;
  by: string;
  on: string;
}

export interface MarksRow {
  marks: Mark[];
  file: string;
}

export interface MendRow {
  words: string;
  holds: boolean;
  changes: string[];
}

export interface Move {
  key: string;
  by_mm: [number, number, number];
  seen?: string;
}

export interface Named {
  file: string;
  name: string;
}

export interface NewBoard {
  label: string;
  space: string;
  length: string;
  height: string;
  thickness?: string;
  /** The side of the space its back is on. */
  face?: "top" | "bottom" | "port" | "starboard" | "forward" | "aft";
  stand_off_mm?: number;
  seen?: string;
}

export interface NewBoat {
  boat: string;
  place: string;
  site?: "open" | "locker" | "lining" | "duct" | "bilge" | "engine";
  length: string;
  breadth: string;
  height: string;
  hatch: string;
  face?: "top" | "bottom" | "port" | "starboard" | "forward" | "aft";
  /** Its clear size fore and aft (athwart for a hatch in the forward or aft side). */
  hatch_first: string;
  hatch_second: string;
  /** From the aft (or starboard) side to its edge; left out, it is in the middle. */
  from_first?: string;
  from_second?: string;
  corner_radius?: string;
  throat: string;
  how?: string;
  by?: string;
}

export interface NewCircuit {
  label: string;
  feed: string;
  load: string;
  amps: number;
  link?: boolean;
  seen?: string;
}

export interface NodeRow {
  key: string;
  label: string;
  column: number;
  row: number;
}

export interface Nothing {

}

export interface OfFinding {
  id: string;
  mend?: string;
  number?: number;
  seen?: string;
}

export interface OfMark {
  number: number;
  words?: string;
  value?: string;
}

export interface OfPiece {
  key: string;
  seen?: string;
}

export interface OfSize {
  key: string;
  seen?: string;
  size: string;
  mm?: number | null;
}

export interface OneSet {
  path: string[];
  value?: JsonValue;
}

export interface Opened {
  job: string;
  words: string;
}

export interface OpeningRow {
  key: string;
  inner: string;
  outer: string;
  axis: number;
  sign: number;
  size_mm: [number, number];
  bars: BoxRow[];
}

export interface OpeningShape {
  key: string;
  centre_mm: [number, number, number];
  axis: number;
  sign: number;
  size_mm: [number, number];
  inner_size_mm: [number, number];
  radius_mm: number;
  throat_mm: number;
}

export interface OpensRow {
  thing: string;
  moved: string;
  axis: number;
  by_mm: number;
  space: string;
  face: string;
}

export interface OutlineRow {
  opening: string;
  opening_mm: [number, number];
  radius_mm: number;
  /** Its least outlines seen along each of its own three directions. */
  outlines: [number, number][];
  words: string[];
}

export interface OwnType {
  label: string;
  kind?: string;
  length: string;
  breadth: string;
  height: string;
  mass_kg: number;
  max_tilt_degrees?: number;
  upright?: boolean;
  volts?: number | null;
  source?: string;
  seen?: string;
}

export interface PartAt {
  board: string;
  /** Empty for a new one. */
  part?: string;
  type?: string;
  at_mm?: [number, number] | null;
  turn?: 0 | 90 | 180 | 270 | null;
  label?: string;
  seen?: string;
}

export interface PartRow {
  words: string;
  mm: number;
}

export interface PlaceThings {
  things: string[];
  spaces?: string[];
}

export interface PlaceWords {
  where: string;
  reasons: string;
}

export interface PlacedRow {
  thing: string;
  label: string;
  space: string;
  /** What it is put on. */
  face: string;
  along: string;
  top: string;
  /** The middle of its foot (of a board's back), from its space's corner. */
  at_mm: [number, number, number];
  /** To what is nearest. */
  gap_mm: number;
  from_opening_mm: number;
  out_of_reach: boolean;
  /** Its cables laid square in the air: how places are ranked. */
  cable_mm: number;
  /** What all cable of the job costs with it there; null where its cables have no way. */
  price: number | null;
  /** Beside the cheapest place told. */
  dearer: number;
  way: string[];
  least_clearance_mm: number | null;
  /** True where it goes in only before other gear: with all of it there no way was found. */
  first: boolean;
  /** True where its space is open to the weather and its maker is not told to say it stands it. */
  splash: boolean;
  findings: FindingRow[];
  body: BoxRow[];
  path: PoseRow[];
  sets: ([string[], number | string | string[] | number[] | null])[];
}

export interface PlacedTold {
  found: PlacingRow;
  places: PlaceWords[];
  lines: string[];
}

export interface PlacingRow {
  things: string[];
  places: PlacedRow[];
  /** True where the places are one for each thing, all at once, in the order they go in. */
  together: boolean;
  /** Things no place was found for. */
  left: string[];
  /** Proven: not all can stand in the spaces looked at, whatever goes in. */
  proven_none: boolean;
  opens: OpensRow[];
  spaces: string[];
  labels: Record<string, string>;
}

export interface PlateThatGoesRow {
  length_mm: number;
  height_mm: number;
}

export interface PoseRow {
  at_mm: [number, number, number];
  quat: [number, number, number, number];
}

export interface ProblemRow {
  file: string;
  key: string;
  line: number;
  words: string;
}

export interface Remove {
  file: "hull" | "job";
  path: (string | number)[];
  with_users?: boolean;
  seen?: string;
}

export interface RoomShape {
  why: string;
  owner: string;
  low_mm: [number, number, number];
  high_mm: [number, number, number];
}

export interface SetCircuit {
  number: string;
  fields: Record<string, JsonValue>;
  seen?: string;
}

export interface SetDimension {
  key: string;
  value: string;
  plus_minus?: string;
  how?: string;
  by?: string;
  verified?: boolean;
  seen?: string;
}

export interface SetField {
  file: "hull" | "job";
  path: (string | number)[];
  /** Null takes it out. */
  value?: JsonValue;
  words: string;
  seen?: string;
}

export interface SetHoles {
  keys: string[];
  seen?: string;
}

export interface SetRow {
  key: string;
  title: string;
  what_for: string;
  files: FileRow[];
  /** When, in words; empty where it was not. */
  made: string;
}

export interface SetTold {
  key: "strip_out" | "kind" | "afloat" | "hot" | "age_years" | "road_hours" | "linings_minutes" | "contingency_percent" | "customer" | "made";
  value: string;
  seen?: string;
}

export interface SetsRow {
  sets: SetRow[];
}

export interface SizeRow {
  /** Its place, like `openings.hatch.throat` or `sizes.hatch_length`. */
  key: string;
  /** `hull` or `job`. */
  file: string;
  text: string;
  mm: number;
  inches: string;
  plus_minus_mm: number;
  how: string;
  /** True for arithmetic on other sizes. */
  worked_out: boolean;
  by: string;
  on: string;
  verified: boolean;
}

export interface SolidRow {
  key: string;
  space: string;
  box: BoxRow;
}

export interface SpaceRow {
  key: string;
  low_mm: [number, number, number];
  high_mm: [number, number, number];
  site: string;
}

export interface StandRow {
  key: string;
  kind: string;
  space: string;
  is_board: boolean;
  fixed_already: boolean;
  mass_kg: number;
  size_mm: [number, number, number];
  at_mm: [number, number, number];
  body: BoxRow[];
  plate_mm: [number, number, number] | null;
  /** What its foot or plate touches, by key. */
  held_by: string[];
  /** What a person says holds it; empty where nothing is said. */
  said_held_by: string;
  parts: string[];
}

export interface StatesRow {
  states: string[][];
  facts: [string, string][];
  moved: string[];
}

export interface StepRow {
  words: string;
  note: string;
  least_mm: number;
}

export interface StepsRow {
  steps: string[];
  in_order: boolean;
  cautions: string[];
  stands: string;
  /** The keys of pieces that go in. */
  good: string[];
}

export interface TakeSets {
  sets: OneSet[];
  words: string;
  seen?: string;
}

export interface TerminalShape {
  key: string;
  at_mm: [number, number, number];
  pole: string;
}

export interface TriedAt {
  size: string;
  mm: number;
  verdict: string;
  words: string;
}

export interface TriedMend {
  id: string;
  mend: MendRow | null;
  /** How many there are to try. */
  many: number;
}

export interface TriedWay {
  number: string;
  words: string[];
  before: string;
  after: string;
  cost: string;
  lines: [number, number, number][][];
  has_way: boolean;
}

export interface TryWay {
  number: string;
  via?: string[];
  avoid?: string[];
  seen?: string;
}

export interface Turn {
  key: string;
  about?: "x" | "y" | "z";
  seen?: string;
}

export interface TypeBox {
  size_mm: [number, number, number];
  at_mm: [number, number, number];
}

export interface TypeCard {
  key: string;
  label: string;
  kind: string;
  mass_kg: number;
  size_mm: [number, number, number];
  boxes: TypeBox[];
  terminals: string[];
  max_tilt_degrees: number;
  source: string;
  /** True where the job tells it. */
  own: boolean;
}

export interface Verify {
  keys: string[];
  verified?: boolean;
  by?: string;
  seen?: string;
}

export interface WayRow {
  key: string;
  label: string;
  verdict: string;
  good: boolean;
  gap: string;
  decides: string;
  at_rest: string;
  held: string;
  way: string;
  evidence: string;
  out_again: string;
  take_out: string;
  advice: string;
  steps: StepRow[];
  deciding: DecidesRow[];
  clashes: string[];
  /** The boxes it clashes with, to be drawn. */
  clash_keys: string[];
  free_by_mm: [number, number, number] | null;
  free_words: string;
  /** Null where they were not looked for. */
  remedies: string[] | null;
  mass_kg: number;
  kept: boolean;
}

export interface WaysRow {
  pieces: WayRow[];
}

export interface WithJob {
  other: string;
}

export interface WorkRow {
  state: string;
  revision: string;
  words: string;
}

export interface Parts {
  desk: StepsRow;
  ways: WaysRow;
  cables: CablesRow;
  findings: FindingsRow;
  estimate: EstimateShown;
}

export interface Commands {
  "start.look": { ask: Nothing; told: FolderRow; atDesk: false };
  "start.new_boat": { ask: NewBoat; told: Opened; atDesk: false };
  "start.copy_boat": { ask: Named; told: Opened; atDesk: false };
  "start.new_job": { ask: Named; told: Opened; atDesk: false };
  "start.variant": { ask: Named; told: Opened; atDesk: false };
  "desk.look": { ask: Nothing; told: DeskRow; atDesk: true };
  "desk.undo": { ask: Nothing; told: DeskRow; atDesk: true };
  "desk.redo": { ask: Nothing; told: DeskRow; atDesk: true };
  "desk.stop": { ask: Nothing; told: Done; atDesk: true };
  "desk.again": { ask: Nothing; told: Done; atDesk: true };
  "desk.set": { ask: SetField; told: DeskRow; atDesk: true };
  "desk.remove": { ask: Remove; told: DeskRow; atDesk: true };
  "measure.set": { ask: SetDimension; told: DeskRow; atDesk: true };
  "measure.verify": { ask: Verify; told: DeskRow; atDesk: true };
  "measure.add": { ask: AddPart; told: DeskRow; atDesk: true };
  "gear.types": { ask: Nothing; told: Catalogue; atDesk: true };
  "gear.add": { ask: AddPiece; told: DeskRow; atDesk: true };
  "gear.own_type": { ask: OwnType; told: DeskRow; atDesk: true };
  "gear.move": { ask: Move; told: DeskRow; atDesk: true };
  "gear.turn": { ask: Turn; told: DeskRow; atDesk: true };
  "gear.into": { ask: Into; told: DeskRow; atDesk: true };
  "gear.new_board": { ask: NewBoard; told: DeskRow; atDesk: true };
  "gear.part": { ask: PartAt; told: DeskRow; atDesk: true };
  "bench.arrange": { ask: ArrangeBoard; told: ArrangedTold; atDesk: true };
  "bench.place": { ask: PlaceThings; told: PlacedTold; atDesk: true };
  "bench.take": { ask: TakeSets; told: DeskRow; atDesk: true };
  "ways.frames": { ask: OfPiece; told: FramesRow; atDesk: true };
  "ways.outline": { ask: OfPiece; told: OutlineRow; atDesk: true };
  "ways.remedies": { ask: OfPiece; told: DeskRow; atDesk: true };
  "ways.free": { ask: OfPiece; told: DeskRow; atDesk: true };
  "ways.at": { ask: OfSize; told: TriedAt; atDesk: true };
  "ways.flip": { ask: OfSize; told: FlipRow; atDesk: true };
  "cables.add": { ask: NewCircuit; told: DeskRow; atDesk: true };
  "cables.set": { ask: SetCircuit; told: DeskRow; atDesk: true };
  "cables.try_way": { ask: TryWay; told: TriedWay; atDesk: true };
  "cables.keep_way": { ask: TryWay; told: DeskRow; atDesk: true };
  "findings.tried": { ask: OfFinding; told: TriedMend; atDesk: true };
  "findings.mend": { ask: OfFinding; told: DeskRow; atDesk: true };
  "estimate.set": { ask: SetTold; told: DeskRow; atDesk: true };
  "estimate.holes": { ask: SetHoles; told: DeskRow; atDesk: true };
  "estimate.states": { ask: Nothing; told: StatesRow; atDesk: true };
  "estimate.keep": { ask: KeepState; told: StatesRow; atDesk: true };
  "papers.look": { ask: Nothing; told: SetsRow; atDesk: true };
  "papers.make": { ask: MakeSet; told: SetsRow; atDesk: true };
  "compare.with": { ask: WithJob; told: CompareRow; atDesk: true };
  "built.look": { ask: Nothing; told: MarksRow; atDesk: true };
  "built.add": { ask: AddMark; told: MarksRow; atDesk: true };
  "built.remove": { ask: OfMark; told: MarksRow; atDesk: true };
}
