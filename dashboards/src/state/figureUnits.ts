/** Units of figures, as the engine has them: an alarm about a figure carries its value, not its unit. */
const units: Readonly<Record<string, string>> = {
  peakTemperature: "degC",
  sustainedPeak: "degC",
  timeAboveLiquidus: "s",
  longestAboveLiquidus: "s",
  timeNearPeak: "s",
  soakTime: "s",
  preheatRate: "K/s",
  heatingRate: "K/s",
  slopeAtLiquidus: "K/s",
  steepestHeating: "K/s",
  rampUpRate: "K/s",
  coolingRate: "K/s",
  rampDownRate: "K/s",
  steepestCooling: "K/s",
  timeToPeak: "s",
  heatAboveLiquidus: "K·s",
  peakSpread: "K",
  liquidusSpread: "s",
  soakEndSpread: "K",
  greatestSpread: "K",
  cycleTime: "s",
  pumpDownTime: "s",
  lowestPressure: "mbar",
  vacuumHold: "s",
  steepestEvacuation: "1/s",
  ventTime: "s",
  steepestVent: "mbar/s",
  moltenToEvacuation: "s",
  moltenAtEvacuation: "K",
  moltenAtVentEnd: "K",
  moltenVacuum: "s",
  peakToEvacuation: "s",
  vapourPlateau: "degC",
  vapourResidual: "K",
  vapourDip: "K",
  vapourRecovery: "s",
  timeInVapour: "s",
  transportSoak: "degC",
  transportSoakTime: "s",
};

/** Conditions that hold something else than their channel's own reading against a limit. */
const ofConditions: Readonly<Record<string, string>> = {
  timeAboveLiquidus: "s",
  cycleStopped: "s",
  slowPumpDown: "s",
  soakMissed: "s",
  recording: "s",
  feed: "s",
  clock: "s",
  deviceSilent: "s",
  coldAtEvacuation: "K",
  freezeUnderVacuum: "K",
  plateauOff: "K",
  offReference: "K",
  evacuationRate: "1/s",
  ventRate: "mbar/s",
  basePressure: "mbar",
  pressureLost: "mbar",
};

/** Unit of what an alarm measured; empty where it has none that could be written. */
export function unitOfAlarm(
  alarm: {
    readonly figure: string | null;
    readonly condition: string;
    readonly channel: string | null;
    readonly unit?: string | null;
  },
  channelUnit: (id: string | null) => string,
): string {
  if (alarm.unit !== undefined && alarm.unit !== null) return alarm.unit;
  if (alarm.figure !== null && units[alarm.figure] !== undefined) return units[alarm.figure];
  const known = ofConditions[alarm.condition];
  if (known !== undefined) return known;
  const unit = channelUnit(alarm.channel);
  return unit === "degC" || unit === "mbar" ? unit : "";
}
