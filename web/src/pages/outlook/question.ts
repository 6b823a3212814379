import type {
  Activity,
  Candidate,
  Conditions,
  ConditionsRequest,
  Kit,
  OutlookRequest,
  Site,
  Weather,
} from "../../generated/job";

/** What the form holds, as typed. Values are judged by the program alone. */
export type Answers = {
  site: Site;
  kit: Kit;
  night: string;
  /** "stored": the table that came with the outing; "hand": one Kp for the night; "feeds": what agencies last said. */
  activity: "stored" | "hand" | "feeds";
  kp: number | null;
  /** Tenths of the sky covered; null where nobody knows; "feeds": the forecast last fetched. */
  cloud: number | null | "feeds";
  /** Minutes without white light; null keeps what was stored. */
  adaptationMinutes: number | null;
  /** Sites to compare with: every one of the journal's, or those stored with the outing. */
  compareWith: Site[] | "stored";
};

/** The form's starting point: what was stored, else the first site and kit there are. */
export function startingAnswers(
  stored: OutlookRequest | null,
  sites: Site[],
  kits: Kit[],
  today: string,
): Answers | null {
  const site = stored?.site ?? sites[0];
  const kit = stored?.kit ?? kits[0];
  if (!site || !kit) return null;
  return {
    site,
    kit,
    night: stored?.night ?? today,
    activity: stored ? "stored" : "feeds",
    kp: null,
    cloud: stored ? tenths(coverOf(stored.weather)) : "feeds",
    adaptationMinutes: null,
    compareWith: "stored",
  };
}

/** What to ask of the stored feeds before the request can be made; null where nothing comes from them. */
export function conditionsFor(answers: Answers, stored: OutlookRequest | null, now: string): ConditionsRequest | null {
  if (answers.activity !== "feeds" && answers.cloud !== "feeds") return null;
  const elsewhere = elsewhereOf(answers, stored, null).map((candidate) => candidate.site);
  return { site: answers.site, night: answers.night, asked_at: now, elsewhere };
}

/** The request the form stands for. `now` is the moment of asking, `conditions` what the feeds said then. */
export function requestOf(
  answers: Answers,
  stored: OutlookRequest | null,
  now: string,
  conditions: Conditions | null = null,
): OutlookRequest {
  const sameNight = stored !== null && stored.night === answers.night && conditions === null;
  const fed = answers.activity === "feeds" ? conditions : null;
  const kept = answers.activity === "stored" ? stored : null;
  return {
    site: answers.site,
    kit: answers.kit,
    night: answers.night,
    // ages of stored inputs count from when they were used, so a stored night keeps its moment of asking
    asked_at: sameNight ? stored.asked_at : now,
    activity: fed?.activity ?? kept?.activity ?? activityByHand(answers),
    other_activity: fed?.other_activity ?? kept?.other_activity ?? [],
    upstream: fed?.upstream ?? kept?.upstream ?? null,
    precipitation: fed?.precipitation ?? kept?.precipitation ?? null,
    weather: weatherOf(answers, stored, conditions),
    elsewhere: elsewhereOf(answers, stored, conditions),
    input_notes: conditions?.notes ?? kept?.input_notes ?? [],
    f107: fed?.f107 ?? stored?.f107 ?? DEFAULT_F107,
    adaptation_minutes: answers.adaptationMinutes ?? stored?.adaptation_minutes ?? DEFAULT_ADAPTATION_MINUTES,
  };
}

/** The same question asked from another of its sites; the one asked from before takes the other's place in the list. */
export function requestFrom(request: OutlookRequest, siteName: string): OutlookRequest {
  const chosen = request.elsewhere.find((candidate) => candidate.site.name === siteName);
  if (!chosen) return request;
  const left = { site: request.site, weather: request.weather };
  return {
    ...request,
    site: chosen.site,
    weather: chosen.weather,
    elsewhere: request.elsewhere.map((candidate) => (candidate === chosen ? left : candidate)),
  };
}

const UNKNOWN_WEATHER: Weather = { source: "nothing given", issued_at: null, hours: [], around: [] };

/** The same defaults as the request type has in the program. */
const DEFAULT_F107 = 120;
const DEFAULT_ADAPTATION_MINUTES = 30;

function activityByHand(answers: Answers): Activity {
  return {
    source: "given by hand",
    issued_at: null,
    intervals: [
      {
        ...nightSpan(answers.night),
        // an empty field goes out as it is: the program says what it wants instead
        kp: answers.kp as number,
        kind: "given",
      },
    ],
  };
}

function isoOrAsTyped(instant: Date, typed: string): string {
  return Number.isNaN(instant.getTime()) ? typed : instant.toISOString();
}

function tenths(cover: number | null): number | null {
  return cover === null ? null : Math.round(cover * 10);
}

/** The one cover that a weather given by hand holds; null for a forecast, which has one for every hour. */
function coverOf(weather: Weather | undefined): number | null {
  return weather?.hours.length === 1 ? (weather.hours[0]?.cloud.total ?? null) : null;
}

function weatherOf(answers: Answers, stored: OutlookRequest | null, conditions: Conditions | null): Weather {
  const before = stored?.weather;
  if (answers.cloud === "feeds") return conditions?.weather ?? UNKNOWN_WEATHER;
  if (before && tenths(coverOf(before)) === answers.cloud) return before;
  if (answers.cloud === null) return UNKNOWN_WEATHER;
  return {
    source: "given by hand",
    issued_at: null,
    hours: [
      {
        ...nightSpan(answers.night),
        cloud: { total: answers.cloud / 10, low: null, medium: null, high: null },
        fog: null,
        temperature_c: null,
        dew_point_c: null,
        wind_m_s: null,
        wind_from_deg: null,
        gust_m_s: null,
      },
    ],
    around: [],
  };
}

/** Two whole days UTC hold the local night of every longitude. */
function nightSpan(night: string): { from: string; to: string } {
  const from = new Date(`${night}T00:00:00Z`);
  const to = new Date(from.getTime() + 2 * 86_400_000);
  return { from: isoOrAsTyped(from, night), to: isoOrAsTyped(to, night) };
}

function elsewhereOf(answers: Answers, stored: OutlookRequest | null, conditions: Conditions | null): Candidate[] {
  // an outing that compared nothing does not begin to because its site is changed
  if (answers.compareWith === "stored" && !stored?.elsewhere.length) return [];
  const known: Candidate[] = stored ? [{ site: stored.site, weather: stored.weather }, ...stored.elsewhere] : [];
  const weather = weatherOf(answers, stored, conditions);
  const fed = answers.cloud === "feeds" ? conditions?.elsewhere : undefined;
  const wanted: Candidate[] =
    answers.compareWith === "stored"
      ? known
      : answers.compareWith.map((site) => known.find((kept) => kept.site.name === site.name) ?? { site, weather });
  return (
    wanted
      .filter((candidate) => candidate.site.name !== answers.site.name)
      // each site has its own forecast
      .map((candidate) => fed?.find((found) => found.site.name === candidate.site.name) ?? candidate)
  );
}

/** Which control an error's field belongs to. */
export function controlOf(field: string | null): "site" | "night" | "kp" | "cloud" | null {
  if (field === null) return null;
  if (field.startsWith("activity") || field.startsWith("kp")) return "kp";
  if (field.startsWith("weather")) return "cloud";
  if (field.startsWith("night")) return "night";
  if (field.startsWith("site")) return "site";
  return null;
}

/** The night so many days later; what cannot be read stays as it is typed. */
export function shiftNight(night: string, days: number): string {
  const noon = new Date(`${night}T12:00:00Z`);
  if (Number.isNaN(noon.getTime())) return night;
  noon.setUTCDate(noon.getUTCDate() + days);
  return noon.toISOString().slice(0, 10);
}
