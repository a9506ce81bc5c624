// The parts of the yard pages, and the bar that tells what is on this phone and what is sent.
import { useLayoutEffect, useState } from "preact/hooks";
import type { JSX } from "preact";
import type { Kept } from "../../offline/operation";
import { say } from "../../offline/words";
import type { YardBook } from "./book";
import { Levels } from "./levels";
import { Lines } from "./lines";
import { list, mapping, text, type Json } from "./path";
import { Told } from "./parts";
import { Pictures } from "./photos";
import { Points } from "./points";
import { groundOf, levelsOf, spotsOf } from "./reckon";
import { Signs } from "./signs";
import { Spots } from "./spots";
import { Walk } from "./walk";

const PARTS: Readonly<Record<string, (props: { book: YardBook }) => JSX.Element>> = { walk: Walk, sketch: Spots, levels: Levels, points: Points, signs: Signs, lines: Lines, photos: Pictures, unsent: Unsent };

export function Yard({ book }: { book: YardBook }): JSX.Element {
  const [, redraw] = useState(0);
  const [part, setPart] = useState(location.hash.slice(1));
  // Listened to before anything else can run: an effect that waits for the next frame misses what happens until then.
  useLayoutEffect(() => book.watch(() => redraw((n) => n + 1)), [book]);
  useLayoutEffect(() => {
    const went = (): void => {
      setPart(location.hash.slice(1));
      scrollTo(0, 0);
    };
    addEventListener("hashchange", went);
    return () => removeEventListener("hashchange", went);
  }, []);
  const Part = PARTS[part];
  return (
    <>
      <Bar book={book} />
      {book.trouble && <Told kind="fails" title={book.begun ? say("Not in the office") : say("Not kept")}>{book.trouble}</Told>}
      {book.unsettled.length > 0 && part !== "unsent" && (
        <Told kind="fails" title={say("{n} not taken by the office", { n: book.unsettled.length })}><a class="back" href="#unsent">{say("Look at them and choose")}</a></Told>
      )}
      {!book.known ? <Unknown book={book} /> : Part ? <><a class="back" href="#">{say("← All of the yard")}</a><Part book={book} /></> : <Front book={book} />}
    </>
  );
}

/** By this device's clock: the time, with its day where that is not today. */
function clock(at: string): string {
  const then = new Date(at);
  const day = then.toDateString() === new Date().toDateString() ? {} : ({ weekday: "short", month: "short", day: "numeric" } as const);
  return then.toLocaleString(document.documentElement.lang, { ...day, hour: "2-digit", minute: "2-digit" });
}

function Bar({ book }: { book: YardBook }): JSX.Element {
  const count = book.waiting.length + book.photos.length + (book.begun ? 1 : 0);
  const seen = book.begun ? say("Begun on this phone; the office does not have it yet.") : book.base.at ? say("Office last seen {time}.", { time: clock(book.base.at) }) : "";
  const words = book.sending ? say("Sending…") : book.none ? `${say("The office has no such job.")} ${book.known ? say("What was typed stays on this phone.") : ""}` : book.signedOut ? say("You are signed out. What was typed stays on this phone; it goes once you sign in again.") : book.reached === false ? `${say("No office just now.")} ${seen}` : seen;
  return (
    <div class="bar">
      <p role="status"><strong>{count ? say("{n} on this phone", { n: count }) : book.unsettled.length ? say("{n} not taken by the office", { n: book.unsettled.length }) : book.known ? say("All sent") : say("Nothing on this phone")}</strong><br />{book.undone ? `${book.undone} ` : ""}{words}</p>
      <div class="row-ways">
        {book.last && <button type="button" class="button quiet" onClick={() => void book.undo()}>{book.lastIsHere ? say("Undo") : book.last.value === null ? say("Put it back") : say("Take out the last entry")}</button>}
        {book.signedOut && <a class="button quiet" href={`/sign-in?back=${encodeURIComponent(location.pathname)}`}>{say("Sign in")}</a>}
        <button type="button" class="button" disabled={book.sending} onClick={() => void book.send()}>{say("Send")}</button>
      </div>
    </div>
  );
}

function Unknown({ book }: { book: YardBook }): JSX.Element {
  if (book.sending || (book.reached === null && !book.none)) return <p role="status">{say("Fetching the job…")}</p>;
  return <NotHere>{book.none ? say("The office has no such job for you either: its address may be mistyped, or the job was taken away.") : say("Open it once where there is a signal; from then on it works without one.")}</NotHere>;
}

/** A job that cannot be worked on here, with the ways on. */
export function NotHere({ children }: { children: string }): JSX.Element {
  return (
    <>
      <Told kind="caution" title={say("This job is not on this phone")}>{children} {say("The yard book lists what was begun here, and begins a new job.")}</Told>
      <p class="row-ways"><a class="button" href="/yard">{say("To the yard book")}</a><a class="button quiet" href="/">{say("To the office")}</a></p>
    </>
  );
}

function Front({ book }: { book: YardBook }): JSX.Element {
  const ground = groundOf(book.record);
  const { reduced, trouble } = levelsOf(book.record);
  const legs = list(book.at("survey.perimeter.legs")).length;
  const worst = reduced?.worst;
  const book_ = trouble ? say("it cannot be followed") : worst ? (Math.abs(worst.misclosure) <= worst.allowable ? say("it closes") : say("it does not close")) : say("open");
  const doors = [
    ["walk", say("Walk round the house"), legs ? say("{n} sides; {state}", { n: legs, state: ground.walk ? (ground.walk.blunder ? say("it does not close") : say("it closes")) : say("not closed yet") }) : say("not begun")],
    ["sketch", say("Sketch"), say("{n} places; tap one for a shot, a photo, or what is seen there", { n: spotsOf(book.record).length })],
    ["levels", say("Level book"), reduced || trouble ? say("{n} rows; {state}", { n: list(book.at("survey.level_book")).length, state: book_ }) : say("not begun")],
    ["points", say("Points and ties"), say("{n} points", { n: list(book.at("survey.points")).length })],
    ["signs", say("What is seen, and tests"), say("{n} seen, {k} tests", { n: list(book.at("symptoms")).length, k: list(book.at("moisture_tests")).length })],
    ["lines", say("Buried lines"), say("{n} here, {k} not on this lot", { n: list(book.at("utilities")).length, k: list(book.at("utilities_absent")).length })],
    ["photos", say("Photos"), say("{n} wait on this phone", { n: book.photos.length })],
  ] as const;
  return (
    <section>
      <h1>{text(book.at("title")) || say("Yard")}</h1>
      <ul class="doors">
        {doors.map(([part, name, state]) => <li key={part}><a href={`#${part}`}><strong>{name}</strong><span>{state}</span></a></li>)}
        {!book.begun && <li><a href={`/jobs/${encodeURIComponent(book.job)}/after`}><strong>{say("After the job")}</strong><span>{say("proof, visits, a season")}</span></a></li>}
      </ul>
      <h2>{say("Still to measure or to settle")}</h2>
      {book.still ? (
        <>
          <p class="hint">{say("As the office saw it at {time}, revision {n}.", { time: clock(book.still.at), n: book.still.revision })}</p>
          {book.still.missing.length ? <ul class="plain">{book.still.missing.map((one) => <li key={one} lang="en">{one}</li>)}</ul> : <p>{say("Nothing that would change the answer.")}</p>}
        </>
      ) : <p>{say("The office has not been asked yet.")}</p>}
      <p class="row-ways"><button type="button" class="button quiet" onClick={() => void book.ask()}>{say("Ask the office again")}</button></p>
    </section>
  );
}

function said(value: unknown): string {
  if (value === null || value === undefined) return say("nothing");
  if (typeof value !== "object") return String(value);
  if (Array.isArray(value)) return value.map(said).join("; ");
  const parts = Object.entries(mapping(value as Json)).filter(([key, part]) => part !== "" && key !== "units");
  return parts.map(([key, part]) => `${key.replaceAll("_", " ").replace(":", " ")} ${said(part)}`).join(", ");
}

/** A path in words, where it is none of the job's own. */
function placeSaid(path: string): string {
  const [, record, part] = /^after\.(\w+)\.(\w+)$/.exec(path) ?? [];
  return record === undefined ? path : record === part || `${part}s` === record ? say("After the job: {part}", { part: part ?? "" }) : say("After the job: {part}", { part: `${record}, ${part}` });
}

function Unsent({ book }: { book: YardBook }): JSX.Element {
  return (
    <section>
      <h2>{say("Not taken by the office")}</h2>
      {book.unsettled.length === 0 && <p>{say("Nothing waits for a choice.")}</p>}
      <ol class="entries">
        {book.unsettled.map((one) => <li key={one.id}><Unsettled book={book} one={one} /></li>)}
      </ol>
    </section>
  );
}

function Unsettled({ book, one }: { book: YardBook; one: Kept }): JSX.Element {
  const { answer } = one;
  const row = /\[[0-9]+\]$/.test(one.path) && one.value !== null;
  if (answer?.state === "conflict") {
    return (
      <div class="whole">
        <p class="where">{say("{place}, typed {time}", { place: placeSaid(one.path), time: clock(one.made) })}</p>
        <p><strong>{say("Yours:")}</strong> {said(one.value)}</p>
        <p><strong>{say("Now, by {who}:", { who: answer.who })}</strong> {said(answer.theirs)}</p>
        <p class="row-ways">
          {row ? (
            <button type="button" class="button" onClick={() => void book.settle(one, "both")}>{say("Keep both")}</button>
          ) : (
            <button type="button" class="button" onClick={() => void book.settle(one, "mine")}>{say("Take mine")}</button>
          )}
          <button type="button" class="button quiet" onClick={() => void book.settle(one, "theirs")}>{say("Leave theirs")}</button>
        </p>
      </div>
    );
  }
  return (
    <div class="whole">
      <p class="where">{say("{place}, typed {time}", { place: placeSaid(one.path), time: clock(one.made) })}</p>
      <p><strong>{say("Yours:")}</strong> {said(one.value)}</p>
      {answer?.state === "refused" && <p class="error">{say("Found {found}; expected {expected}. {hint}", { found: answer.found, expected: answer.expected, hint: answer.hint })}</p>}
      <p class="row-ways"><button type="button" class="button grave" onClick={() => void book.settle(one, "theirs")}>{say("Throw mine away")}</button></p>
    </div>
  );
}
