import {cleanText, type Markup, markup, trusted} from './markup.js';

/**
 * A page that needs nothing but itself: no script, no font, no address; it opens from a folder without a network. It is
 * well-formed XML as well, so that any parser can check it.
 * @param style this program's own style sheet
 */
export const printPage = (title: string, style: string, body: Markup): string =>
  `<!DOCTYPE html>\n${
    markup`<html lang="en">
<head>
<meta charset="utf-8" />
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'" />
<meta name="viewport" content="width=device-width, initial-scale=1" />
<title>${cleanText(title).replace(/\s+/g, ' ')}</title>
<style>${trusted(baseStyle + style)}</style>
</head>
<body>
${body}
</body>
</html>
`.text
  }`;

const baseStyle = `
:root { color-scheme: light; }
body { font: 15px/1.45 system-ui, sans-serif; color: #111; background: #fff; margin: 1.5rem auto; padding: 0 1rem; max-width: 78rem; }
h1 { font-size: 1.5rem; margin: 0 0 0.25rem; }
h2 { font-size: 1.05rem; margin: 1.4rem 0 0.4rem; }
p { margin: 0.25rem 0; }
table { border-collapse: collapse; }
th, td { text-align: left; vertical-align: top; padding: 0.15rem 0.8rem 0.15rem 0; font-weight: normal; }
th { color: #555; }
img, svg { max-width: 100%; height: auto; }
.quiet { color: #555; }
@media print { body { margin: 0; padding: 0; max-width: none; font-size: 10pt; } }
`;
