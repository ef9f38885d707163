// Prints moist-air states computed by psychrolib 1.1.1 (ASHRAE Handbook Fundamentals 2017 ch. 1) as CSV.
// Usage: node psychrolib_table.mjs FOLDER, where FOLDER/node_modules holds psychrolib.
//
// Below 0.01 degC psychrolib's relative humidity is over ICE and its dew point is a frost point; the
// reader of the table has to convert.
import { createRequire } from 'node:module';
import { resolve } from 'node:path';

const folder = process.argv[2];
if (folder === undefined) {
  console.error('usage: node psychrolib_table.mjs FOLDER_WITH_NODE_MODULES');
  process.exit(2);
}
const psychrolib = createRequire(resolve(folder, 'package.json'))('psychrolib');
psychrolib.SetUnitSystem(psychrolib.SI);

const print = (quantity, t, share, pressure, altitude, value) =>
  console.log([quantity, t, share, pressure, altitude, value].join(','));

console.log('quantity,temperature_degC,humidity_share,pressure_Pa,altitude_m,value');
for (let t = -60; t <= 55; t += 2.5) {
  print('saturation_pressure', t, '', '', '', psychrolib.GetSatVapPres(t));
}
for (const altitude of [0, 250, 1000, 1600, 3000]) {
  print('standard_pressure', '', '', '', altitude, psychrolib.GetStandardAtmPressure(altitude));
}
for (const pressure of [101325, 83523]) {
  for (let t = -30; t <= 45; t += 5) {
    for (const share of [0.2, 0.5, 0.8, 0.95]) {
      const ratio = psychrolib.GetHumRatioFromRelHum(t, share, pressure);
      print('vapor_pressure', t, share, pressure, '', psychrolib.GetVapPresFromRelHum(t, share));
      print('dew_or_frost_point', t, share, pressure, '', psychrolib.GetTDewPointFromRelHum(t, share));
      print('humidity_ratio', t, share, pressure, '', ratio);
      print('enthalpy', t, share, pressure, '', psychrolib.GetMoistAirEnthalpy(t, ratio));
      print('wet_bulb', t, share, pressure, '', psychrolib.GetTWetBulbFromRelHum(t, share, pressure));
    }
  }
}
