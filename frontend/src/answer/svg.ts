const SPACE = "http://www.w3.org/2000/svg";

/** An SVG element with attributes, in a parent if one is given. */
export function mark(name: string, attributes: Record<string, string | number>, parent?: Element): SVGElement {
  const made = document.createElementNS(SPACE, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  parent?.append(made);
  return made;
}
