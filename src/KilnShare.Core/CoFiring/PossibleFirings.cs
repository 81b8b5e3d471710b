using System.Numerics;
using KilnShare.Core.Cones;
using KilnShare.Core.Materials;

namespace KilnShare.Core.CoFiring;

/// <summary>Every firing that pieces of one kind could share.</summary>
/// <remarks>
/// A firing has a cone of a series, an atmosphere and a company: for each rule that forbids givers beside takers it is closed to the takers
/// or to the givers. A piece that is both, such as leaded ware for food, has a company of its own with those who are neither. So whatever
/// conflicts there are, grouping is a set cover over these firings.
/// </remarks>
internal static class PossibleFirings
{
    /// <summary>Of the pieces of one kind.</summary>
    /// <param name="pieces">All pieces.</param>
    /// <param name="part">The places of those of the kind.</param>
    /// <param name="slots">By place, where each can be fired.</param>
    /// <param name="series">The series of cones, the usual one first: of firings that hold the same pieces the first is kept.</param>
    public static FiringGroupsPart Of(IReadOnlyList<Ware> pieces, int[] part, PossibleSlots[] slots, IReadOnlyList<ConeSeries> series)
    {
        var kind = slots[part[0]].Kind;
        var companies = Companies.Of(pieces, part, new FiringPlan(kind, Cone.At(0), series[0], Atmosphere.Oxidation));
        var firings = new List<PossibleFiring>();
        foreach (var (read, atmosphere) in series.SelectMany(read => Atmospheres.All.Select(atmosphere => (read, atmosphere))))
        {
            var any = part.Aggregate(0UL, (mask, i) => mask | slots[i].At(read, atmosphere));
            while (any != 0)
            {
                // Hottest first: of firings that hold the same pieces the hottest is kept, at which all of them are most surely mature.
                var order = 63 - BitOperations.LeadingZeroCount(any);
                any &= ~(1UL << order);
                int[] here = [.. part.Where(i => (slots[i].At(read, atmosphere) & (1UL << order)) != 0)];
                foreach (var company in companies.Split(here))
                    firings.Add(new PossibleFiring(kind, read, Cone.At(order), atmosphere, company));
            }
        }

        return new FiringGroupsPart(part, firings, companies.AreComplete);
    }

    private sealed class Companies
    {
        private readonly List<(HashSet<int> Givers, HashSet<int> Takers)> conflicts = [];
        private readonly HashSet<int> loners = [];
        private readonly HashSet<int> party = [];

        public bool AreComplete => loners.Count == 0 || conflicts.Count <= 1;

        public static Companies Of(IReadOnlyList<Ware> pieces, int[] part, FiringPlan firing)
        {
            var companies = new Companies();
            var load = new CheckedLoad(firing, [.. part.Select(i => pieces[i])], EvidenceBook.None);
            foreach (var rule in CoFiringRules.OnLoads)
            {
                if (rule.Forbids(load) is not ({ Count: > 0 } givers, { Count: > 0 } takers)) continue;
                companies.Add([.. givers.Select(i => part[i])], [.. takers.Select(i => part[i])]);
            }
            return companies;
        }

        /// <summary>The largest companies these pieces make, none within another's rules.</summary>
        public IEnumerable<int[]> Split(int[] here)
        {
            if (!Array.Exists(here, party.Contains)) return [here];
            var sides = Enumerable.Range(0, 1 << conflicts.Count).Select(side => here.Where(i => IsAdmitted(i, side)).ToArray());
            var alone = here.Where(loners.Contains).Select(loner => here.Where(i => i == loner || !party.Contains(i)).ToArray());
            return sides.Concat(alone).Where(company => company.Length > 0);
        }

        private bool IsAdmitted(int piece, int side)
        {
            for (var k = 0; k < conflicts.Count; k++)
                if ((((side >> k) & 1) == 0 ? conflicts[k].Takers : conflicts[k].Givers).Contains(piece)) return false;
            return true;
        }

        private void Add(HashSet<int> givers, HashSet<int> takers)
        {
            conflicts.Add((givers, takers));
            loners.UnionWith(givers.Intersect(takers));
            party.UnionWith(givers);
            party.UnionWith(takers);
        }
    }
}
