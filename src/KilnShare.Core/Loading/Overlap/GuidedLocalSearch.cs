using KilnShare.Core.Loading.Kernel;

namespace KilnShare.Core.Loading.Overlap;

/// <summary>
/// Tries to bring the energy to nothing: minimise, make the pairs that still overlap weigh more, move the worst item elsewhere, again.
/// </summary>
/// <remarks>
/// Guided local search (Voudouris and Tsang 1999) over overlaps, as used for nesting by Egeblad, Nielsen and Odgaard (2007)
/// and Gardeyn, Vanden Berghe and Wauters (arXiv:2509.13329).
/// </remarks>
internal sealed class GuidedLocalSearch(OverlapModel model, NeighbourPairs pairs, OverlapEnergy energy, Descent descent, SingleMoves moves)
{
    /// <summary>True once nothing overlaps any more.</summary>
    public bool Run(int rounds, int descentSteps, SearchBudget budget, SeededRandom random)
    {
        for (var done = 0; done < rounds; done++)
        {
            budget.Tick();
            if (descent.Run(descentSteps) <= Descent.Solved) return true;
            if (budget.Stop || done == rounds - 1) return false;
            var worst = WeighOverlaps();
            if (worst >= 0 && done % OverlapTuning.RelocationEvery == OverlapTuning.RelocationEvery - 1) moves.Relocate(
                worst, OverlapTuning.GuidedPlaces, random);
        }

        return false;
    }

    // Pairs that still overlap get heavier in proportion; returns the movable item with the most weighted overlap, or -1.
    private int WeighOverlaps()
    {
        moves.Settle();
        var pains = new double[model.Total];
        var overlaps = pairs.Round.List().Concat(pairs.Rough.List()).Select(p => (p.I, p.J, Depth: energy.DepthBetween(p.I, p.J))).Where(p => p.Depth > 0)
            .ToList();
        var most = overlaps.Select(p => p.Depth).DefaultIfEmpty(0).Max();
        var heavier = new List<(int I, int J, double Weight)>(overlaps.Count);
        foreach (var (i, j, depth) in overlaps)
        {
            var weight = pairs.WeightOf(i, j);
            pains[i] += weight * depth;
            pains[j] += weight * depth;
            heavier.Add((i, j, Math.Min(OverlapTuning.MostPairWeight, weight * (1 + (OverlapTuning.WeightGrowth * depth / most)))));
        }

        pairs.Weigh(heavier);
        var worst = -1;
        for (var i = 0; i < model.Count; i++)
        {
            if (!model.IsHeld[i] && pains[i] > 0 && (worst < 0 || pains[i] > pains[worst])) worst = i;
        }

        return worst;
    }
}
