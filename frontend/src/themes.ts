// The three themes. The choice stands in a cookie, so that pages come in it, and on the device, for pages kept there.

export const THEMES = ["light", "dark", "sunlight"] as const;
export type Theme = (typeof THEMES)[number];

const KEY = "theme";

function known(value: string | null | undefined): Theme | undefined {
  return THEMES.find((theme) => theme === value);
}

function kept(): string | null {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null; // storage is closed to pages in some private windows
  }
}

export function chosenTheme(): Theme {
  const cookie = /(?:^|;\s*)theme=([a-z]+)/.exec(document.cookie)?.[1];
  return known(kept()) ?? known(cookie) ?? (matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light");
}

export function chooseTheme(theme: Theme): void {
  document.documentElement.dataset["theme"] = theme;
  const secure = location.protocol === "https:" ? "; secure" : "";
  document.cookie = `${KEY}=${theme}; path=/; max-age=31536000; samesite=lax${secure}`;
  try {
    localStorage.setItem(KEY, theme);
  } catch {
    // the cookie holds it
  }
}

/** Let the theme buttons act without a new page. */
export function themeButtons(form: HTMLFormElement): void {
  const buttons = [...form.querySelectorAll<HTMLButtonElement>("button[name=theme]")];
  const show = (): void => {
    for (const button of buttons) button.setAttribute("aria-pressed", String(button.value === chosenTheme()));
  };
  for (const button of buttons) {
    button.addEventListener("click", (event) => {
      const theme = known(button.value);
      if (theme === undefined) return;
      event.preventDefault();
      chooseTheme(theme);
      show();
    });
  }
  show();
}
