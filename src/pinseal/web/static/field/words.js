// Every English sentence of the field page. A place in braces is filled by `say`; where there are two, the first is for one. Other languages: spoken.js.
import { SPOKEN, form } from "./spoken.js";

const WORDS = {
  title: "Field",
  waiting: "{n} waiting", allSent: "nothing waits", noSignal: "no signal", nearlyFull: "only {mb} MB left", failedN: "{n} not taken",
  takeTitle: "Take the day along", takeLead: "Fetch the units of today's sites while there is a signal. After that this phone works by itself.",
  site: "Site", everySite: "Every site", who: "Who works", day: "Day", take: "Take it along", takeAgain: "Fetch it again",
  taking: "Fetching …", taken: ["{n} unit of {site} for {day} is on this phone.", "{n} units of {site} for {day} are on this phone."], takenAt: "Fetched {when}.",
  notFetched: "The day could not be fetched: {why}.", signIn: "Sign in first",
  noOffline: "This phone cannot work offline here: the page is not on a secure address. Ask the shop for the address that begins with https.",
  installed: "This phone holds the page: it opens without a signal.", lowSpace: "This phone has only {mb} MB left for the page. Send, then make room.",
  persistNo: "The phone may clear this page's store when it runs short. Send soon, and put the page on the home screen.",
  "group-approach": "At its place", "group-outside": "Outside, all round", "group-finish": "Closed and marked",
  reasonMistaken: "the mark was taken back on the walk", reasonMissing: "looked for and not found at its place", reasonBlocked: "access blocked: {why}",
  walkTitle: "Walk", handTitle: "Hand over", sendTitle: "Send", dayTitle: "Day",
  find: "Find a unit", findHint: "number, place, red, 2014 …", scan: "Scan a code", noneFound: "No unit fits these words.",
  markFound: "Found", markMissing: "Missing", markMoved: "Moved", markBlocked: "Blocked", unlisted: "Not listed", list: "List", otherwise: "Instrument, note, or something else",
  movedTo: "Where does it hang now?", whyBlocked: "What blocks it?", unlistedTitle: "Not listed before", unlistedLead: "Write down what can be seen. All of it may stay empty but one thing; the shop completes it.",
  numberOnIt: "Number on it", serial: "Serial number on the shell", agent: "Kind", notKnown: "not known", size: "Size", sizeUnit: "unit of the size", made: "Year made", whatElse: "What else can be seen",
  saySomething: "Write at least one thing: its place, a number, its kind, or what can be seen.", typoMade: "The year made is a year, as 2014, or year and month, as 2014-06.", unlistedKept: "Written down. It waits to be sent.",
  keep: "Keep", cancel: "Back",
  open: "Open", done: "done", begun: "begun", undo: "Undo the last touch", undone: "Taken back: {what}.",
  inspect: "Inspect", maintain: "Yearly maintenance", noSheet: "No sheet for this unit is on the phone.", goOn: "Go on with the sheet",
  allRight: "All as it should be", oneByOne: "Something is not right", covers: "This says that you looked at each of these:",
  caution: "Caution", why: "Why", next: "Keep and go on", photo: "Photo", reason: "Why not", note: "Note",
  atBench: "At the bench", benchWhy: "Opening, filling and charging are done in the shop. This sheet stays open and goes on there.",
  gateShut: "Not open yet", expected: "A full unit shows {value} today.", expectedBetween: "A full unit shows {low} to {high} today.",
  needTemp: "Enter the temperature first: the expected reading follows it.", verdictPass: "pass", verdictFail: "fail", verdictClose: "too close to call",
  verdictUnknown: "unknown", judgedLater: "the shop judges it when this is sent", fix: "Put right now", how: "What did you do?", part: "Part, if one was fitted",
  findings: "Found wrong", finish: "Finish this unit", lastAndFinish: "{what}: finish this unit", finished: "Finished. It waits to be sent.", nextUnit: "Next unit", leaveOpen: "Leave it for the shop",
  leaveWords: "The sheet goes to the shop as it stands, and stays open there.", takeAway: "Take it away", closedAs: "Closed", left: "Left for the shop",
  noStops: "Nothing is open.", stepsLeft: ["{n} step is left", "{n} steps are left"], decisionReturn: "Every step is answered and nothing is open: it stays in service.",
  decisionFound: "Every step is answered. What was found goes to the shop as a deficiency.", decisionStop: "It cannot get its tag: {what}.",
  listedFound: "{listed} listed, {found} found", missingN: "{n} missing", movedN: "{n} moved", blockedN: "{n} blocked", unlistedN: "{n} not listed before",
  notLooked: "{n} not looked for yet", itHangs: "it hangs in {place}",
  handLead: "Show this to the customer and let them sign.", worked: "Worked on", foundWrong: "Found", dueNext: "Due next", nothingWorked: "Nothing was finished at this site yet.",
  signer: "Name of the customer", sign: "Sign here, or type the name alone", clear: "Clear", accept: "Keep the hand-over", handed: "Handed over to {name}.", handedNote: "Handed over to {name}: {what}",
  sendNow: "Send now", sendLead: "A record leaves this phone only when the shop has said that it is on its disk.", sentN: "{n} sent", waitsN: "{n} waiting", refusedN: "{n} not taken",
  sending: "Sending …", tryAgain: "Next try in {n} s.", cannotSend: "Not sent: {why}.", offline: "no signal", export: "Save the unsent to a file", exported: "Saved. Give this file to the shop.",
  refusedWords: "{what}: {rule}. {do}", openOnes: ["{n} sheet is under work and waits until it is finished or left.", "{n} sheets are under work and wait until they are finished or left."],
  scanLead: "Hold the code of the unit in front of the camera, a hand's breadth away.", cameraStarts: "The camera starts …", light: "Light", scanAgain: "Scan again",
  noCamera: "The camera cannot be used here. Type the number.", typeNumber: "Or type the number",
  noReader: "Codes cannot be read yet: the reader is not on this phone. Open this page once with a signal. Until then type the number.",
  readerNotHeld: "The reader of codes is not on this phone yet. It comes by itself while there is a signal; until then type the numbers.",
  codeUnknown: "No unit of today has this code", codeWhy: "It may be a maker's code, or the unit is of another site or not listed yet. Look for the unit with words.",
  codeElsewhere: "It is the code of a unit that is not in today's list.", codeTwice: "More than one unit has this number", fetchUnit: "Fetch that unit", searchWords: "Search with words",
  unitByCode: "A unit by its code", fetchingUnit: "Fetching the units of this site …", notYours: "this unit is not at your sites",
  otherSite: "The walk of {site} is on this phone. Taking {to} along puts its units in the place of these; what is unsent stays.",
  typo: "This cannot be read as {what}.", missingReading: "{label} is missing.", home: "Back to the list",
  saved: "kept on this phone", instrument: "Instrument", none: "none", clearFigure: "Clear the last figure", minus: "Minus", answered: "Answered", change: "Change", full: "The phone is full: nothing more can be kept. Send or make room, then try again.",
  update: "A newer page is ready. Nothing is lost by it.", reload: "Use it now", gone: "The unit is not in today's list any more.", fullToday: "full today", dialSays: "Gauge: {value}; {expected}", optional: "may be left out",
  where: "Place", last: "Last readings", notes: "Notes", partsFitted: "Parts fitted", marksThere: "Marks on it", markSays: "Write on it", byHand: "{work}, {day}, {who}", openBefore: "Found wrong before, still open", steps: "{done} of {all}", seen: "found", duties: "Owed", showAll: "Show {n} more",
  answerFirst: "Answer the steps before this one first.", openFindings: "Open: {what}.", standIn: "Nothing of equal worth stands in its place yet.", stopsLeft: "Put these right, take the unit away, or leave the sheet for the shop.",
};

// The form of a sentence that goes with a count; most sentences have one form only.
function formOf(said, n) {
  const forms = [SPOKEN[[said].flat()[0]] ?? said].flat();
  return forms[Math.min(form(Number(n ?? 0)), forms.length - 1)];
}

export function say(key, values = {}) {
  if (WORDS[key] === undefined) throw new Error(`no words for ${key}`);
  const text = formOf(WORDS[key], values.n);
  return text.replace(/\{(\w+)\}/g, (_, name) => String(values[name] ?? ""));
}
