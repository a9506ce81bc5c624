import { tryOut } from "./answer/what_if";
import { play } from "./answer/player";
import { fetchLate } from "./answer/late";
import { fold } from "./answer/sections";

for (const one of document.querySelectorAll<HTMLElement>("[data-without-script]")) one.hidden = true;
for (const one of document.querySelectorAll<HTMLElement>("[data-player]")) play(one);
for (const one of document.querySelectorAll<HTMLFormElement>("form[data-what-if]")) tryOut(one);
for (const one of document.querySelectorAll<HTMLElement>("[data-late]")) void fetchLate(one);
fold(document.querySelector("main") ?? document.body);
