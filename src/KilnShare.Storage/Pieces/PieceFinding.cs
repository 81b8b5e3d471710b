using System.Globalization;
using System.Text;
using KilnShare.Core.Common;
using KilnShare.Core.Materials;
using KilnShare.Core.Pieces;
using KilnShare.Core.Studios;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Storage.Pieces;

/// <summary>What pieces are looked for by; null asks for nothing.</summary>
public sealed record PiecesWanted
{
    /// <summary>Whose they are.</summary>
    public Id<Member>? MemberId { get; init; }

    /// <summary>The sign under the foot, letter for letter.</summary>
    public string? Mark { get; init; }

    /// <summary>The clay.</summary>
    public Id<StudioClay>? ClayId { get; init; }

    /// <summary>A glaze that is or goes on.</summary>
    public Id<StudioGlaze>? GlazeId { get; init; }

    /// <summary>What at least one copy has been fired to.</summary>
    public Stage? Stage { get; init; }

    /// <summary>The kind of firing that such a copy needs next, by its word.</summary>
    public string? NextKind { get; init; }
}

/// <summary>Finds pieces in the database: no piece is read that is not asked for.</summary>
public static class PieceFinding
{
    /// <summary>A studio's pieces that are still listed and are all of what is wanted.</summary>
    /// <remarks>
    /// Only the conditions asked for stand in the question, so that each gets a plan of its own. Mark and clay are looked up in columns of their own: under
    /// row-level security an index is only used by operators that cannot leak, which those on jsonb are not.
    /// </remarks>
    public static IQueryable<Piece> FindPieces(this KilnShareDb db, Id<Studio> studio, PiecesWanted wanted)
    {
        var (sql, values) = (new StringBuilder("select p.* from piece p where p.studio_id = {0} and p.archived_at is null"), new List<object> { studio.Value });
        And(" and p.member_id = ", wanted.MemberId?.Value);
        And(" and p.mark = ", wanted.Mark);
        And(" and p.clay_id = ", wanted.ClayId?.Value);
        And(" and p.making @> jsonb_build_object('layers', jsonb_build_array(jsonb_build_object('glazeId', ", wanted.GlazeId?.Value, "::text)))");
        if (wanted.Stage is not null || wanted.NextKind is not null)
        {
            sql.Append(" and exists (select from piece_copy c where c.studio_id = {0} and c.piece_id = p.id");
            And(" and c.stage = ", wanted.Stage?.ToString());
            And(" and next_firing(c.studio_id, p.making, c.stage, c.layers_fired_at) = ", wanted.NextKind);
            sql.Append(')');
        }

        return db.Set<Piece>().FromSqlRaw(sql.ToString(), [.. values]);

        void And(string condition, object? value, string end = "")
        {
            if (value is null) return;
            sql.Append(condition).Append(CultureInfo.InvariantCulture, $"{{{values.Count}}}").Append(end);
            values.Add(value);
        }
    }
}
