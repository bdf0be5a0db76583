import type {Mark} from '../../shared/journal.js';
import {markup, trusted} from './markup.js';

export type SidecarText = {
  title: string;
  description: string;
  mark: Mark | null;
  /** Who made the picture; null leaves it out. */
  creator: string | null;
  /** ISO 8601, when the sidecar was written. */
  writtenAt: string;
};

/** xmp:Rating is −1 for rejected, 0 for none, to 5. */
const ratingOf: Record<Mark | 'none', number> = {keep: 5, maybe: 3, drop: -1, none: 0};

/** Says that what follows is UTF-8; the standard wants the mark itself there. */
const byteOrderMark = trusted('\ufeff');

/**
 * An XMP packet for a file beside the picture (ISO 16684-1): rating, label, title, description and, if given, the
 * creator. Any text becomes well-formed XML.
 */
export const xmpSidecar = ({title, description, mark, creator, writtenAt}: SidecarText): string =>
  markup`<?xpacket begin="${byteOrderMark}" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
 <rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
  <rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/">
   <xmp:Rating>${ratingOf[mark ?? 'none']}</xmp:Rating>
   ${mark && markup`<xmp:Label>${mark}</xmp:Label>`}
   <xmp:MetadataDate>${writtenAt}</xmp:MetadataDate>
   <xmp:CreatorTool>darkset</xmp:CreatorTool>
   <dc:title><rdf:Alt><rdf:li xml:lang="x-default">${title}</rdf:li></rdf:Alt></dc:title>
   <dc:description><rdf:Alt><rdf:li xml:lang="x-default">${description}</rdf:li></rdf:Alt></dc:description>
   ${creator ? markup`<dc:creator><rdf:Seq><rdf:li>${creator}</rdf:li></rdf:Seq></dc:creator>` : null}
  </rdf:Description>
 </rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>
`.text;
