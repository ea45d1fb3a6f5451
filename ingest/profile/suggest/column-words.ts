import type { ReadingColumn } from "../../columns/columns.ts";

/**
 * Words by which laboratories head their columns, in several languages, in lower case and without accents.
 * A word that says it alone stands in `telling`; one that only fits stands in `fitting`.
 */
export const COLUMN_WORDS: Readonly<
  Record<ReadingColumn, { readonly telling: string; readonly fitting: string }>
> = {
  instrument: {
    telling:
      "instrument device viscometer apparatus gerat geratenummer viskosimeter appareil equipo strumento",
    fitting: "serial unit asset sn id no number",
  },
  checked_at: {
    telling: "checked date time datetime timestamp datum zeit zeitpunkt uhrzeit fecha data when horodatage",
    fitting: "at on day measured tag",
  },
  speed_rpm: {
    telling: "speed rpm drehzahl vitesse velocidad velocita turns rotation revolutions rps",
    fitting: "min",
  },
  reading_mpas: {
    telling: "reading shown displayed indicated messwert anzeige lecture lectura lettura readout istwert",
    fitting: "viscosity measured measurement viskositat viscosite viscosidad result mesure value found",
  },
  fluid_value_mpas: {
    telling: "certified sollwert certificate zertifikat certifie certificado reference referenzwert",
    fitting: "standard fluid oil value expected target true actual viscosity viskositat wert",
  },
  full_scale_range_mpas: {
    telling: "range fsr messbereich fullscale fondo endwert etendue rango plage",
    fitting: "full scale max maximum limit",
  },
  torque_percent: {
    telling: "torque ausschlag drehmoment couple auslenkung deflection torsion",
    fitting: "scale percent moment",
  },
  temperature_c: {
    telling: "temperature temperatur temp temperatura badtemperatur",
    fitting: "bath bad bain fluid",
  },
  fluid_lot: {
    telling: "lot charge batch lote lotto chargennummer losnummer",
    fitting: "fluid standard oil number no id",
  },
  geometry: {
    telling: "geometry accessory messsystem geometrie geometria adapter bob cup cylinder becher",
    fitting: "system chamber measuring",
  },
  site: {
    telling: "site location standort laboratory labor lab plant werk laboratoire ort sede",
    fitting: "place where department",
  },
  operator: {
    telling: "operator technician tech prufer bediener analyst operateur operador inspector operatore",
    fitting: "user by name person done initials",
  },
  check_id: {
    telling: "check run prufnummer checkid lauf prufung",
    fitting: "id nr no number record",
  },
  stage: {
    telling: "stage kind anlass occasion purpose condition etape",
    fitting: "type reason state art when",
  },
};

/** Words by which laboratories name the three stages; a part of a word counts. */
export const STAGE_PARTS = {
  as_found: ["found", "before", "incoming", "vorher", "arriv", "avant", "eingang", "pre"],
  as_left: ["left", "after", "outgoing", "nachher", "apres", "ausgang", "post", "final"],
  routine: [
    "routine",
    "regel",
    "regular",
    "daily",
    "weekly",
    "month",
    "normal",
    "taglich",
    "wochentlich",
    "check",
  ],
} as const;

/** The words of a header, in lower case and without accents: "bathTemp_F" has three. */
export function wordsOf(header: string): string[] {
  return plain(header.replace(/(\p{Ll})(\p{Lu})/gu, "$1 $2"))
    .split(/[^\p{L}\p{N}%]+/u)
    .filter((word) => word !== "");
}

/** In lower case and without accents. */
export function plain(text: string): string {
  return text
    .normalize("NFD")
    .replace(/\p{Mn}/gu, "")
    .replace(/ß/g, "ss")
    .toLowerCase();
}
