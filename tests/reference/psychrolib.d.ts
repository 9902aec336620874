// The few functions of the reference library psychrolib (MIT) that the outside checks call. Types only; it ships none.
declare module "psychrolib" {
  const psychrolib: {
    readonly IP: number;
    readonly SI: number;
    SetUnitSystem(system: number): void;
    GetSatVapPres(celsius: number): number;
    GetTDewPointFromRelHum(celsius: number, relativeHumidity: number): number;
    GetHumRatioFromRelHum(celsius: number, relativeHumidity: number, pascals: number): number;
    GetMoistAirDensity(celsius: number, humidityRatio: number, pascals: number): number;
    GetDryAirDensity(celsius: number, pascals: number): number;
    GetStandardAtmPressure(altitudeMeters: number): number;
  };
  export default psychrolib;
}
