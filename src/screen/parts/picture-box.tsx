import {Box, type DOMElement} from 'ink';
import {type ReactNode, useLayoutEffect, useMemo, useRef} from 'react';
import type {Picture} from '../../frame/picture.js';
import {useStage} from '../context.js';
import {usePalette} from '../palette.js';
import {encodePicture} from '../picture/encode.js';
import type {Label} from '../picture/half-blocks.js';

const absolutePlace = (element: DOMElement): {left: number; top: number} => {
  let left = 0;
  let top = 0;
  for (let node: DOMElement | undefined = element; node; node = node.parentNode) {
    left += node.yogaNode?.getComputedLeft() ?? 0;
    top += node.yogaNode?.getComputedTop() ?? 0;
  }
  return {left, top};
};

/**
 * A picture, drawn by the painter over an empty box: as text it would have to be laid out again at every frame.
 * It lies at the upper right of its box.
 */
export const PictureBox = ({
  picture,
  labels,
  columns,
  rows,
  label,
}: {
  picture: Picture | null;
  labels: Label[];
  columns: number;
  rows: number;
  /** What a screen reader says of it. */
  label: string;
}): ReactNode => {
  const {painter, ability} = useStage();
  const palette = usePalette();
  const box = useRef<DOMElement>(null);
  const encoded = useMemo(
    () => (picture ? encodePicture(picture, palette, ability, {columns, rows}, labels) : null),
    [picture, palette, ability, columns, rows, labels],
  );
  // After every layout: the box may have moved without anything else having changed.
  useLayoutEffect(() => {
    if (!painter || !box.current) return;
    if (!encoded) {
      painter.overlay(null);
      return;
    }
    const {left, top} = absolutePlace(box.current);
    painter.overlay({...encoded, left: left + Math.max(0, columns - encoded.columns), top});
  });
  // At once, not after the frame without it was painted.
  useLayoutEffect(() => () => painter?.overlay(null), [painter]);
  return <Box ref={box} width={columns} height={rows} flexShrink={0} aria-label={label} />;
};
