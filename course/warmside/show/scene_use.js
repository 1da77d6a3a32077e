// The scene of module 06: a day of use. The stage, cup, clock and chart of module 05, with other things to grab.

const SENSOR = [240, 262]; // px; on the fins of the food compartment

function useFront(n, g, say) {
  const { x } = CUP_STAGE;
  const [sensorX, sensorY] = SENSOR;
  const off = clamp(4 * n.sensor_error, 0, 22);
  return [
    cupFront(n, g, say),
    path(`M${sensorX + 14} ${sensorY - 8}q-${px(8 + off / 2)} -10 -${px(14 + off)} 0`, { "stroke-width": 1.6 }),
    rect(sensorX - off - 5, sensorY - 9, 10, 18, { rx: 3, fill: off > 1 ? "#e5532f" : "#ffffff", stroke: INK, "stroke-width": 1.8 }),
    letters(x(0) + 14, 66, n.sensor_text, { class: "halo" }),
    letters(x(g.back) + 30, CUP_STAGE.height - 6, n.defrost === "none" ? "no timed defrost" : `defrost: ${say("defrost")}`, { class: "halo" }),
  ].join("");
}

function useHandles() {
  const kept = ["reading_time", "door", "warm_load", "setting", "ambient"];
  return [
    ...cupHandles().filter(({ name }) => kept.includes(name)),
    { name: "load_cooled", icon: () => "turn", at: () => [222, 508], hidden: (n) => !n.warm_load },
    { name: "sensor_error", icon: () => "across", at: () => [SENSOR[0] + 26, SENSOR[1] - 20], pull: { axis: "x", pixels: -5 } },
    { name: "defrost", icon: () => "turn", at: (n, g) => [CUP_STAGE.x(g.back) + 12, CUP_STAGE.height - 12] },
  ];
}

function useAsks(before) {
  return {
    title: "At its worst hour, how will the cup be?",
    note: `Over the day it went ${before.picture.range_text}. The same means that you would not see it.`,
    answers: ["Colder", "The same", "Warmer"],
  };
}

SCENES.use = {
  ...SCENES.cup,
  front: useFront,
  handles: useHandles,
  asks: useAsks,
  label: "Side section of a refrigerator in use, with a cup of water in it, over a day; its handles move with the arrow keys",
  spots: { Cup: [150, 320], Clock: [520, 500], Outside: [520, 260], Sensor: [240, 262], Dial: [180, 60] },
  about:
    "Cabinet to scale. All temperatures, the heater and the hours are the model's, whose air is one with the liner it touches. " +
    "How the air turns, sun and moon, where the sensor hangs and how far the door swings are drawn for the eye.",
};
