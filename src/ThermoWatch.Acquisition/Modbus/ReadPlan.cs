namespace ThermoWatch.Acquisition.Modbus;

/// <summary>Which blocks to read for a list of points: neighbours together, as few requests as the device allows.</summary>
/// <remarks>A point lies whole in one block: halves of one number read at two moments would join to a number that never was.</remarks>
internal sealed class ReadPlan
{
    private readonly IReadOnlyList<ModbusPoint> _points;

    private ReadPlan(IReadOnlyList<ModbusPoint> points, int[][] pointsOfBlock)
    {
        _points = points;
        PointsOfBlock = pointsOfBlock;
        Blocks = [.. pointsOfBlock.Select(BlockAround)];
    }

    /// <summary>What to ask for.</summary>
    public ReadBlock[] Blocks { get; }

    /// <summary>For each block the places of its points in the device's list, by address.</summary>
    public int[][] PointsOfBlock { get; }

    /// <summary>Plans for a device.</summary>
    /// <param name="points">Its points.</param>
    /// <param name="maxGapRegisters">Unused registers that may be read along.</param>
    /// <param name="maxRegisters">Most registers in one request.</param>
    public static ReadPlan For(IReadOnlyList<ModbusPoint> points, int maxGapRegisters, int maxRegisters)
    {
        List<int[]> blocks = [];
        foreach (IGrouping<ModbusTable, int> table in Enumerable.Range(0, points.Count).GroupBy(i => points[i].Table))
        {
            int perRegister = table.Key.IsBits() ? 16 : 1;
            int maxGap = maxGapRegisters * perRegister, maxLength = Math.Min(maxRegisters * perRegister, table.Key.MaxQuantity());
            List<int> block = [];
            int start = 0, end = 0;
            foreach (int i in table.OrderBy(i => points[i].Address).ThenBy(i => points[i].Length))
            {
                int pointEnd = points[i].Address + points[i].Length;
                if (block.Count > 0 && (points[i].Address - end > maxGap || Math.Max(end, pointEnd) - start > maxLength))
                {
                    blocks.Add([.. block]);
                    block.Clear();
                }

                if (block.Count == 0) (start, end) = (points[i].Address, pointEnd);
                block.Add(i);
                end = Math.Max(end, pointEnd);
            }

            blocks.Add([.. block]);
        }

        return new(points, [.. blocks]);
    }

    /// <summary>The plan with one block cut at its widest hole, or in the middle if it has none; null if it holds one address only.</summary>
    /// <remarks>For a device that refuses a block: the hole may lie over addresses that it does not have.</remarks>
    public ReadPlan? Split(int block)
    {
        int[] inside = PointsOfBlock[block];
        int cut = 0, widest = -1, middle = inside.Length / 2, end = 0;
        for (int i = 0; i < inside.Length; i++)
        {
            ModbusPoint point = _points[inside[i]];
            int hole = point.Address - end;
            bool better = hole > widest || (hole == widest && Math.Abs(i - middle) < Math.Abs(cut - middle));
            if (i > 0 && hole >= 0 && better) (cut, widest) = (i, hole);
            end = Math.Max(end, point.Address + point.Length);
        }

        if (cut == 0) return null;
        return new(_points, [.. PointsOfBlock[..block], inside[..cut], inside[cut..], .. PointsOfBlock[(block + 1)..]]);
    }

    private ReadBlock BlockAround(int[] inside)
    {
        int start = _points[inside[0]].Address;
        int end = inside.Max(i => _points[i].Address + _points[i].Length);
        return new(_points[inside[0]].Table, (ushort)start, end - start);
    }
}
