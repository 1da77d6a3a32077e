// A day that runs in seconds. The page has it whole, from one answer of the kernel, so that a hand goes through it
// without asking; the kernel hears of the hour when the hand rests.

const DAY_TAKES = 12; // s

// `hand` has: row(name), and told(hour), which is called when the clock comes to rest. `name` is the control that has
// the hour, `day` says how long the day is.
function makeClock(name, day, hand) {
  let at = null; // the hour while it runs; else the control has it
  let until = day.hours;
  const made = button("", () => (at === null ? run() : rest()));
  made.classList.add("warmside-run");
  const read = () => hand.row(name).read();
  const shown = () => {
    const { step } = hand.row(name).control;
    return Math.floor(at / step + 1e-6) * step;
  };
  function run(from = read(), to = day.hours) {
    until = to;
    at = from >= to ? 0 : from;
  }
  function rest() {
    if (at === null) return;
    const hour = at >= until ? until : shown();
    at = null;
    hand.row(name).show(hour);
    hand.told(hour);
  }
  // Move on by some seconds; where nothing is to move it jumps from hour to hour.
  function frame(seconds) {
    if (at === null) return false;
    at = Math.min(at + (seconds * day.hours) / DAY_TAKES, until);
    hand.row(name).show(shown());
    if (at >= until) rest();
    return true;
  }
  const stop = () => {
    at = null;
  };
  const moment = (jumps) => (at === null ? read() : jumps ? Math.floor(at) : at);
  function show() {
    const says = at === null ? "▶ Run the day" : "❚❚ Stop the day";
    if (made.textContent !== says) made.textContent = says;
  }
  return { made, run, rest, stop, frame, moment, show, runs: () => at !== null };
}
