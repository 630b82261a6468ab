// validate.js FILE...: each FHIR R4 resource must pass two validators that know nothing of this program: `fhir` (unexpected
// elements are faults) and the official JSON schema. What neither sees is asserted here as well: references that point
// nowhere, units, components. Files are JSON, or one JSON text a line (.ndjson).
'use strict';
const fs = require('fs');
const path = require('path');
const { Fhir } = require('fhir');
const JSONSchemaValidator = require('@asymmetrik/fhir-json-schema-validator');

const UNITS = { '8480-6': 'mm[Hg]', '8462-4': 'mm[Hg]', '96608-5': 'mm[Hg]', '96609-3': 'mm[Hg]', '8867-4': '/min', '60832-3': 'Cel' };
const PANELS = { '85354-9': ['8480-6', '8462-4'], '96607-7': ['96608-5', '96609-3'] };

function observationFaults(o) {
  const faults = [];
  const code = o.code.coding[0].code;
  const has = (o.component || []).map((c) => c.code.coding[0].code);
  for (const c of PANELS[code] || []) if (!has.includes(c)) faults.push(`component ${c} is missing`);
  for (const c of o.component || []) {
    const q = c.valueQuantity;
    const unit = UNITS[c.code.coding[0].code];
    if (q && (q.code !== unit || q.system !== 'http://unitsofmeasure.org' || !(q.value > 0))) faults.push(`quantity ${JSON.stringify(q)}`);
  }
  if (PANELS[code] && ('valueQuantity' in o || 'valueString' in o)) faults.push('a panel has a value of its own');
  if (!o.subject || !o.subject.reference) faults.push('no subject');
  if (Object.keys(o).filter((k) => k.startsWith('effective')).length !== 1) faults.push('not one effective time');
  if (o.effectiveDateTime && !/T\d\d:\d\d:\d\d(Z|[+-]\d\d:\d\d)$/.test(o.effectiveDateTime)) faults.push('no seconds or zone');
  return faults;
}

function bundleFaults(b) {
  const faults = [];
  const urls = new Set((b.entry || []).map((e) => e.fullUrl));
  if (urls.size !== (b.entry || []).length) faults.push('a fullUrl comes twice');
  const walk = (x) => {
    if (x && typeof x === 'object') {
      if (typeof x.reference === 'string' && x.reference.startsWith('urn:') && !urls.has(x.reference)) faults.push(`${x.reference} points nowhere`);
      Object.values(x).forEach(walk);
    }
  };
  walk(b);
  for (const e of b.entry || []) if (e.resource.resourceType === 'Observation') faults.push(...observationFaults(e.resource));
  return faults;
}

function faultsOf(resource) {
  const first = new Fhir().validate(resource, { errorOnUnexpected: true });
  const faults = first.messages.filter((m) => m.severity === 'error' || m.severity === 'fatal').map((m) => `fhir: ${m.location}: ${m.message}`);
  if (!first.valid && !faults.length) faults.push('fhir: not valid');
  // Verbose: otherwise a first fault changes the schema for all that follow. The last errors are the outermost.
  for (const e of (schema.validate(resource, true) || []).slice(-12)) faults.push(`schema: ${e.dataPath || ''} ${e.message || e}`);
  if (resource.resourceType === 'Bundle') faults.push(...bundleFaults(resource));
  if (resource.resourceType === 'Observation') faults.push(...observationFaults(resource));
  return faults;
}

const schema = new JSONSchemaValidator();
let checked = 0;
let failed = 0;
for (const file of process.argv.slice(2)) {
  const text = fs.readFileSync(file, 'utf8');
  const all = file.endsWith('.ndjson') ? text.split('\n').filter(Boolean) : [text];
  all.forEach((one, i) => {
    const faults = faultsOf(JSON.parse(one));
    checked += 1;
    if (!faults.length) return;
    failed += 1;
    console.log(`FAIL  ${path.basename(file)}${all.length > 1 ? `:${i + 1}` : ''}`);
    faults.slice(0, 20).forEach((f) => console.log(`      ${f}`));
  });
}
console.log(`${checked - failed} passed, ${failed} failed`);
process.exit(failed || !checked ? 1 : 0);
