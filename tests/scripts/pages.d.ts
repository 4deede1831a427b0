// What the page's scripts share, for the type checker only: a name that none of them makes is an error where it is used.

interface Limberleaf {
  about?: any;
  before?: any;
  bestOf?: any;
  blanks?: any;
  boxes?: any;
  calendar?: any;
  calendarForm?: any;
  capital?: any;
  cells?: any;
  change?: any;
  changes?: any;
  code?: any;
  data?: any;
  dayNames?: any;
  daysIn?: any;
  dayWords?: any;
  dayRemarks?: any;
  daysOf?: any;
  doseOf?: any;
  draft?: any;
  el?: any;
  exercise?: any;
  figures?: any;
  fill?: any;
  filled?: any;
  fold?: any;
  foot?: any;
  foreign?: any;
  hasRest?: any;
  heading?: any;
  href?: any;
  icon?: any;
  incoming?: any;
  isDay?: any;
  isToday?: any;
  languages?: any;
  lineOf?: any;
  list?: any;
  listed?: any;
  jumped?: any;
  keepPlan?: any;
  load?: any;
  make?: any;
  maker?: PlanMaker;
  same?: any;
  merge?: any;
  message?: any;
  most?: any;
  mostNotes?: any;
  mostTyped?: number;
  named?: any;
  newPlan?: any;
  notes?: any;
  number?: any;
  numbersOf?: any;
  opened?: any;
  order?: any;
  over?: any;
  ownDays?: any;
  patient?: any;
  phases?: any;
  pick?: any;
  planAddress?: any;
  printNext?: any;
  put?: any;
  qr?: any;
  read?: any;
  remarks?: any;
  reminders?: any;
  replacedBy?: any;
  resolve?: any;
  rich?: any;
  root?: any;
  say?: any;
  script?: any;
  search?: any;
  sidesOf?: any;
  signs?: any;
  speaking?: any;
  spoken?: any;
  spread?: any;
  take?: any;
  time?: any;
  today?: any;
  timeNeeded?: any;
  totalLine?: any;
  totals?: any;
  trouble?: any;
  typed?: any;
  vocabulary?: any;
  weeksUntil?: any;
  write?: any;
}

interface PlanMaker {
  card?: any;
  chosenOf?: any;
  clear?: any;
  copyLink?: any;
  found?: any;
  givePart?: any;
  opened?: any;
  plan?: any;
  refresh?: any;
  remember?: (same?: boolean) => void;
  remarkPart?: any;
  said?: any;
  sidesPart?: any;
  stopPart?: any;
  taken?: any;
  titleOf?: any;
}

interface Window {
  limberleaf?: Limberleaf;
  limberleafExercise?: any;
  limberleafFinder?: any;
  limberleafPlan?: any;
  limberleafTitles?: any;
  webkitAudioContext?: typeof AudioContext;
}

// What a selector or an id finds depends on the page, which a type checker does not see.
interface ParentNode {
  querySelector(selectors: string): any;
  querySelectorAll(selectors: string): NodeListOf<any>;
}
interface NonElementParentNode {
  getElementById(id: string): any;
}
interface Document {
  getElementById(id: string): any;
}
interface Element {
  closest(selectors: string): any;
}
interface EventTarget {
  closest(selectors: string): any;
  matches(selectors: string): boolean;
}
